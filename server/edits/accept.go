package edits

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"sideport/cards"
)

// Accept takes one edit of the server's own operator, or of the program itself.
// See AcceptAs.
func Accept(log Log, now time.Time, e Edit) (Receipt, error) {
	return AcceptAs(log, now, e, func() (Standing, error) { return Standing{Checked: ByOperator}, nil })
}

// AcceptAs takes one edit into the log and returns its receipt. It is called
// inside one transaction of the log; an error means that nothing may be kept.
// The edit must not be malformed (Malformed). Errors are those of Log and ErrReused.
//
// AcceptAs may be called any number of times with the same edit: every time
// after the first changes nothing, and standing, which says who the author is,
// is not asked again. Only what was set aside for who made it does not keep
// its id to itself: whoever sends an altered copy first would else keep the
// true one out.
func AcceptAs(log Log, now time.Time, e Edit, standing func() (Standing, error)) (Receipt, error) {
	if entry, seen, err := log.Entry(e.ID); err != nil {
		return Receipt{}, fmt.Errorf("look for edit %s: %w", e.ID, err)
	} else if seen {
		if same, err := sameEdit(entry, e); err != nil || same || !entry.Refused() {
			return again(entry, same, err)
		}
	}
	s, err := standing()
	if err != nil {
		return Receipt{}, fmt.Errorf("whose edit %s is: %w", e.ID, err)
	}
	before, err := head(log, e)
	if err != nil {
		return Receipt{}, err
	}
	verdict := aside(s.Refused, nil)
	if s.Refused == "" {
		if verdict, err = Judge(log, before, now, e); err != nil {
			return Receipt{}, err
		}
	}
	return appended(log, before, Entry{At: now, Edit: e, Verdict: verdict, Identity: s.identity()})
}

// appended gives the entry its place.
func appended(log Log, before *Document, entry Entry) (Receipt, error) {
	var err error
	if entry.Seq, err = log.Next(); err != nil {
		return Receipt{}, fmt.Errorf("place edit %s: %w", entry.Edit.ID, err)
	}
	var after *Document
	if entry.Verdict.Outcome != SetAside {
		doc := Apply(before, entry)
		after = &doc
	}
	if err := log.Append(entry, after); err != nil {
		return Receipt{}, fmt.Errorf("append edit %s: %w", entry.Edit.ID, err)
	}
	return entry.Receipt(), nil
}

// again answers an edit that is in the log. The same id on other contents is
// refused: "already applied" would let the device drop what was never kept.
func again(entry Entry, same bool, err error) (Receipt, error) {
	if err != nil {
		return Receipt{}, err
	}
	if !same {
		return Receipt{}, fmt.Errorf("%w: %s was sent before with other contents; give the new contents an id of their own", ErrReused, entry.Edit.ID)
	}
	r := entry.Receipt()
	r.First, r.Outcome = r.Outcome, AlreadyApplied
	return r, nil
}

// sameEdit reports whether an entry holds this edit. A second signature of what
// was taken is no other edit: who could make one from the first would else keep
// its author from ever getting the receipt.
func sameEdit(entry Entry, e Edit) (bool, error) {
	before := entry.Edit
	if !entry.Refused() && before.Sig != "" && e.Sig != "" {
		before, e = before.said(), e.said()
		before.Sig, e.Sig = "", ""
	}
	first, err := Encode(before)
	if err != nil {
		return false, err
	}
	now, err := Encode(e)
	return bytes.Equal(first, now), err
}

// said is the edit as its author signed it: another can offer it anew, and must not keep its author from the receipt by that.
func (e Edit) said() Edit {
	if w := e.Was; w != nil && len(w.Declines) == len(e.Declines) {
		e.ID, e.Parent, e.After, e.Takes, e.Was = w.ID, w.Parent, w.After, w.Takes, nil
		e.Declines = slices.Clone(e.Declines)
		for i := range e.Declines {
			e.Declines[i].Proposal = w.Declines[i]
		}
	}
	return e
}

func head(log Log, e Edit) (*Document, error) {
	doc, ok, err := log.Document(e.Kind, e.Doc)
	if err != nil {
		return nil, fmt.Errorf("read %s %s: %w", e.Kind, e.Doc, err)
	}
	if !ok {
		return nil, nil
	}
	return &doc, nil
}

// Judge says what becomes of an edit, before is the document as it is (nil: none).
// It reads what went before and changes nothing.
func Judge(past Past, before *Document, now time.Time, e Edit) (Verdict, error) {
	r, known := kinds[e.Kind]
	if !known {
		return aside("“"+clip(string(e.Kind))+"” is not a kind of document this server knows. The kinds are "+KindNames+".", nil), nil
	}
	if wrong := e.envelope(); wrong != "" {
		return aside(wrong, nil), nil
	}
	mine, problems := r.parse(e.Body)
	if len(problems) > 0 {
		return aside("The "+r.name+" does not pass its checks.", problems), nil
	}
	if id := r.id(mine); e.Doc != id {
		return aside(fmt.Sprintf("The edit is for %s “%s” and holds %s “%s”.", r.name, e.Doc, r.name, clip(id)), nil), nil
	}
	if r.once && before != nil {
		return aside("This "+r.name+" is kept already, and a "+r.name+" is never changed. Keep what is to be added as one of its own.", nil), nil
	}
	from, reason, err := findBase(past, r, before, e)
	if err != nil || reason != "" {
		return aside(reason, nil), err
	}
	j := judging{past: past, rules: r, before: before, now: now, edit: e, mine: mine}
	return j.judge(from)
}

// maxProblems bounds what is kept and sent about one body: a body of 2 MiB can
// be wrong in a hundred thousand places.
const maxProblems = 100

func aside(reason string, problems cards.Problems) Verdict {
	if n := len(problems); n > maxProblems {
		reason += fmt.Sprintf(" The first %d of %d problems are listed.", maxProblems, n)
		problems = slices.Clone(problems[:maxProblems])
	}
	return Verdict{Outcome: SetAside, Rules: RulesEdition, Reason: reason, Problems: problems}
}

// judging is the state of judging one edit whose body is valid.
type judging struct {
	past   Past
	rules  rules
	before *Document // nil: a new document
	now    time.Time
	edit   Edit
	mine   body
}

// judge chooses between a new document, an owner's edit and a proposal.
func (j judging) judge(from base) (Verdict, error) {
	if j.before == nil {
		return j.first()
	}
	was, err := j.stored(j.before.Body, "the newest revision")
	if err != nil {
		return Verdict{}, err
	}
	started, reason, err := j.started(from, was)
	if err != nil || reason != "" {
		return aside(reason, nil), err
	}
	switch owner := j.ownerOf(was); {
	case owner != "" && j.edit.answers():
		return aside(fmt.Sprintf("The %s is %s’s, who alone answers proposals for it.", j.rules.name, owner), nil), nil
	case owner != "":
		return j.proposal(from, started, was)
	case j.edit.answers() && len(j.edit.Decides) == 0 && sameBody(started, j.mine):
		return j.answered(started, was)
	case from.isHead:
		return j.applied(was)
	}
	return j.merged(from, started, was)
}

// ownerOf is whose document it is where the author may not change it, or "".
func (j judging) ownerOf(doc body) cards.PersonID {
	if j.rules.owner == nil || j.edit.Device == ServerDevice {
		return ""
	}
	if owner := j.rules.owner(doc); owner != j.edit.Author {
		return owner
	}
	return ""
}

// started is what the author saw; nil: nothing, where both sides made the one
// document there is. A reason says that two documents have one name.
func (j judging) started(from base, was body) (body, string, error) {
	switch {
	case from.body != nil:
		started, err := j.stored(from.body, "the revision it was made from")
		return started, "", err
	case from.isHead:
		return was, "", nil
	case j.rules.single, j.begunTwice(was):
		return nil, "", nil
	case sameBody(was, j.mine):
		return was, "", nil
	}
	return nil, fmt.Sprintf("There is a %s “%s” already, made by %s. Give this one another name.",
		j.rules.name, j.edit.Doc, j.before.History[0].By), nil
}

// begunTwice reports whether one person has begun a document of their own on
// two devices: what both hold is that person's, so nothing of it is set aside.
func (j judging) begunTwice(was body) bool {
	return j.rules.owner != nil && j.rules.owner(was) == j.edit.Author && j.before.History[0].By == j.edit.Author
}

func sameBody(a, b body) bool { return bytes.Equal(mustCanonical(a), mustCanonical(b)) }

// first is the verdict on the first edit of a document.
func (j judging) first() (Verdict, error) {
	if owner := j.ownerOf(j.mine); owner != "" {
		return aside(fmt.Sprintf("This new %s is in the name of %s, and only %s starts it. Start it in your own name, or ask for it.", j.rules.name, owner, owner), nil), nil
	}
	return j.finish(Verdict{Outcome: Applied, Rules: RulesEdition, Rev: 1, Changes: []string{"New " + j.rules.name}}, j.mine)
}

// applied is the verdict on an edit made from the newest revision.
func (j judging) applied(was body) (Verdict, error) {
	return j.finish(Verdict{Outcome: Applied, Rules: RulesEdition, Rev: j.before.Rev + 1, Changes: j.rules.diff(was, j.mine)}, j.mine)
}

// merged is the verdict on an edit made from something older than the newest revision.
func (j judging) merged(from base, started, was body) (Verdict, error) {
	result, questions := j.rules.merge(started, was, j.mine)
	if _, problems := j.rules.parse(mustCanonical(result)); len(problems) > 0 {
		return aside(fmt.Sprintf("Together with what others changed meanwhile the %s does not pass its checks.", j.rules.name), problems), nil
	}
	v := Verdict{Outcome: Merged, Rules: RulesEdition, Rev: j.before.Rev + 1, Changes: j.rules.diff(was, result)}
	if len(questions) > 0 {
		v.Outcome = Questioned
		var err error
		if v.Questions, err = j.open(from, questions); err != nil {
			return Verdict{}, err
		}
	}
	return j.finish(v, result)
}

// finish adds the body, left out where it is what was sent, the questions the
// edit settles and the proposals it answers.
func (j judging) finish(v Verdict, result body) (Verdict, error) {
	after := mustCanonical(result)
	sent, err := Encode(j.edit.Body)
	if err != nil {
		return Verdict{}, err
	}
	if !bytes.Equal(sent, after) {
		v.Body = after
	}
	if j.before != nil {
		j.decide(&v, after)
	}
	err = j.reply(&v, result)
	return v, err
}

// decide settles the questions that the edit names and whose value the document then holds.
func (j judging) decide(v *Verdict, after []byte) {
	mine := mustCanonical(j.mine)
	for _, q := range j.before.Questions {
		if !slices.Contains(j.edit.Decides, q.ID) {
			continue
		}
		if sameAt(q.Unit, mine, after) {
			v.Decided = append(v.Decided, q.ID)
			v.Changes = append(v.Changes, "The question about “"+q.Label+"” is settled")
		} else {
			v.because("“" + q.Label + "” was changed meanwhile, so the question about it stays open.")
		}
	}
}

// stored parses a body out of the log. Checks may have become stricter since
// it was kept, so only its form counts.
func (j judging) stored(raw json.RawMessage, what string) (body, error) {
	v, err := j.rules.decode(raw)
	if err != nil {
		return nil, fmt.Errorf("%w: %s of %s %s cannot be read: %v", ErrDamaged, what, j.edit.Kind, j.edit.Doc, err)
	}
	return v, nil
}

// open gives the questions of a merge their ids and authors.
func (j judging) open(from base, asked []cards.Question) ([]Question, error) {
	by, err := j.headAuthors(from, asked)
	if err != nil {
		return nil, err
	}
	out := make([]Question, len(asked))
	for i, q := range asked {
		sum := sha256.Sum256([]byte(string(j.edit.ID) + " " + q.Unit))
		out[i] = Question{ID: QuestionID(hex.EncodeToString(sum[:16])), Question: q, HeadBy: by[q.Unit], MineBy: j.edit.Author, Edit: j.edit.ID, At: j.now}
	}
	return out, nil
}
