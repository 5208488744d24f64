package e2e

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// Two edits wait, the second made on top of the first. The server sets the
// first aside; the second then holds both changes and counts from what the first
// was made from. Where somebody else has changed the same limit meanwhile, the
// tablet foresees the question and does not pass one of the two values for agreed.
func TestMadeOnTopOfWhatWasSetAside(t *testing.T) {
	s := startServer(t)
	b, office := newTablet(t, s, upright), newTablet(t, s, desk)
	for _, each := range []*tablet{b, office} {
		each.becomes(chopSurgeon)
		each.installed()
	}
	s.kill()
	b.changeLimit(chopCard, "chop", "390")
	b.changeLimit(chopCard, "segment-removal", "350")
	b.shut()
	s.start()
	office.changeLimit(chopCard, "chop", "380")
	office.open("/waiting")
	office.sees("Nothing is waiting")

	b.launch()
	b.do("set the first edit aside", func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: firstSetAside})
		return chromedp.Void{}, err
	})
	b.open("/waiting")
	b.sees("The body does not pass.")
	b.sees("1 edit waiting")
	b.sees("Segment removal vacuum 380 → 350 mmHg")
	b.open("/cards/" + chopCard)
	b.sees("Your edit is still waiting, and somebody else changed the same thing.")
	b.sees("380 mmHg")
	b.sees("390 mmHg")
}

// firstSetAside answers a push as a server that sets the first edit of a document aside and then falls silent.
const firstSetAside = `{ const real = window.fetch; window.fetch = async (url, init) => {
	if (String(url) !== "/api/v1/edits") return real(url, init);
	const asked = JSON.parse(init.body), receipts = asked.edits.filter(e => e.after === undefined)
		.map(({id, kind, doc}) => ({id, outcome: "set aside", kind, doc, rev: 0, seq: 1, reason: "The body does not pass."}));
	return new Response(JSON.stringify({protocol: 1, epoch: asked.epoch, seq: 1, receipts}), {status: 200, headers: {"Content-Type": "application/json"}});
}; }`
