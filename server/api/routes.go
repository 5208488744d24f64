package api

import (
	"strings"

	"github.com/gofiber/fiber/v2"
)

// may says who may use a route.
type may string

const (
	// mayAnyone: no device needs to be enrolled.
	mayAnyone may = "open"
	// mayDevice: an enrolled device that is neither revoked nor forked.
	mayDevice may = "device"
	// maySession: a person who is signed in on such a device.
	maySession may = "session"
	// mayLead: such a person whose document says unit lead.
	mayLead may = "lead"
	// mayOperator: a lead, or whoever can read the data directory of this machine.
	mayOperator may = "operator"
	// mayRevoked: any device that was ever enrolled: what it sends late is set aside, not lost.
	mayRevoked may = "revoked"
)

// Sizes of a request's body.
const (
	noBody    = 1 << 10
	smallBody = 16 << 10
	largeBody = 2 << 20
)

// route is one row of the table.
type route struct {
	method, path string
	who          may
	body         int // bytes of a request
	rate         rate
	beforeSetUp  bool // answers while the unit is not set up
	do           func(*API, *fiber.Ctx) error
}

const v1 = "/api/v1"

// table is every route there is. The order matters for the last two alone.
var table = []route{
	{"GET", "/healthz", mayAnyone, noBody, rateAsk, true, (*API).ready},
	{"GET", v1 + "/health", mayAnyone, noBody, rateAsk, true, (*API).health},
	{"POST", v1 + "/setup", mayAnyone, smallBody, rateKnock, true, (*API).setUp},
	{"POST", v1 + "/enrol", mayAnyone, smallBody, rateKnock, false, (*API).enrol},

	{"GET", v1 + "/snapshot", mayDevice, noBody, rateAsk, false, (*API).snapshotRead},
	{"GET", v1 + "/changes", mayDevice, noBody, rateAsk, false, (*API).changesRead},
	{"GET", v1 + "/docs/:kind/:id/revisions/:rev", mayDevice, noBody, rateAsk, false, (*API).revisionRead},
	{"GET", v1 + "/edits/:id", mayDevice, noBody, rateAsk, false, (*API).editRead},
	{"GET", v1 + "/set-aside", mayDevice, noBody, rateAsk, false, (*API).setAsideRead},
	{"GET", v1 + "/live", mayDevice, noBody, rateAsk, false, (*API).live},
	{"GET", v1 + "/me", mayDevice, noBody, rateAsk, false, (*API).me},
	{"POST", v1 + "/generate", mayDevice, largeBody, rateWork, false, (*API).sheetGenerate},
	{"POST", v1 + "/edits", mayRevoked, largeBody, ratePush, false, (*API).editPush},
	{"POST", v1 + "/sign-in", mayDevice, smallBody, rateSignIn, false, (*API).signIn},
	{"POST", v1 + "/passkeys/ask", mayDevice, smallBody, rateSignIn, false, (*API).passkeyAsk},
	{"POST", v1 + "/passkeys/sign-in", mayDevice, smallBody, rateSignIn, false, (*API).passkeySignIn},
	{"POST", v1 + "/sso", mayDevice, smallBody, rateSignIn, false, (*API).signOnBegin},
	// The browser comes from the provider's page and brings no cookie that says which device it is: the attempt does.
	{"GET", v1 + "/sso/return", mayAnyone, noBody, rateKnock, false, (*API).signOnReturn},

	{"POST", v1 + "/sign-out", maySession, smallBody, rateWork, false, (*API).signOut},
	{"POST", v1 + "/keys", maySession, smallBody, rateWork, false, (*API).keyRegister},
	{"POST", v1 + "/passkeys/begin", maySession, smallBody, rateWork, false, (*API).passkeyBegin},
	{"POST", v1 + "/passkeys", maySession, smallBody, rateWork, false, (*API).passkeyAdd},
	{"POST", v1 + "/sso/opened", maySession, smallBody, rateWork, false, (*API).signOnOpened},

	{"GET", v1 + "/devices", mayLead, noBody, rateWork, false, (*API).devicesRead},
	{"POST", v1 + "/devices/code", mayLead, smallBody, rateWork, false, (*API).codeMake},
	{"POST", v1 + "/devices/:id/revoke", mayLead, smallBody, rateWork, false, (*API).deviceRevoke},
	{"GET", v1 + "/accounts", mayLead, noBody, rateWork, false, (*API).accountsRead},
	{"POST", v1 + "/accounts/:person/pin", mayLead, smallBody, rateWork, false, (*API).pinIssue},
	{"POST", v1 + "/accounts/:person/bar", mayLead, smallBody, rateWork, false, (*API).personBar},
	{"POST", v1 + "/accounts/:person/proofs", mayLead, smallBody, rateWork, false, (*API).proofsTake},
	{"GET", v1 + "/audit", mayLead, noBody, rateWork, false, (*API).auditRead},
	{"GET", v1 + "/audit.ndjson", mayLead, noBody, rateWork, false, (*API).auditExport},
	{"POST", v1 + "/backup", mayOperator, smallBody, rateWork, false, (*API).backupWrite},

	{"USE", "/api", mayAnyone, noBody, rateAsk, true, (*API).noSuchCall},
	{"GET", "/*", mayAnyone, noBody, ratePage, true, (*API).asset},
}

func (a *API) routes() {
	for _, r := range table {
		guarded := func(c *fiber.Ctx) error {
			if err := a.guard(c, r); err != nil {
				return err
			}
			return r.do(a, c)
		}
		switch r.method {
		case "USE":
			a.app.Use(r.path, guarded)
		case fiber.MethodGet:
			a.app.Get(r.path, guarded) // and HEAD
		default:
			a.app.Add(r.method, r.path, guarded)
		}
	}
}

// routeOf finds the row of a request before the framework has read its body.
// A path that no row names belongs to the last ones, which take no body.
func routeOf(method, path string) (route, bool) {
	for _, r := range table {
		if r.method == method && fits(r.path, path) {
			return r, true
		}
	}
	return route{}, false
}

// fits compares a path with a pattern in which a part that begins with a colon stands for anything.
func fits(pattern, path string) bool {
	for {
		want, moreWant, _ := strings.Cut(pattern, "/")
		have, moreHave, more := strings.Cut(path, "/")
		if want != have && (!strings.HasPrefix(want, ":") || have == "") {
			return false
		}
		if moreWant == "" || !more {
			return moreWant == "" && !more
		}
		pattern, path = moreWant, moreHave
	}
}
