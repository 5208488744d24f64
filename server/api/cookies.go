package api

import (
	"strings"
	"sync"
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/server/edits"
	"sideport/server/people"
)

// The credentials live in cookies that no script can read. Where the page
// comes over TLS their names begin with __Host-, with which a browser takes
// them from this very host alone; plain http is for this machine.
const (
	deviceCookie = "sideport-device"
	personCookie = "sideport-person"
	hostPrefix   = "__Host-"
	// deviceAge is the longest that browsers keep a cookie. It begins anew every week.
	deviceAge   = 400 * 24 * time.Hour
	renewCookie = 7 * 24 * time.Hour
)

func (a *API) cookieName(name string) string {
	if a.secure() {
		return hostPrefix + name
	}
	return name
}

func (a *API) setCookie(c *fiber.Ctx, name, value string, age time.Duration) {
	cookie := &fiber.Cookie{Name: a.cookieName(name), Value: value, Path: "/", MaxAge: int(age / time.Second),
		Secure: a.secure(), HTTPOnly: true, SameSite: fiber.CookieSameSiteStrictMode}
	if age <= 0 {
		cookie.Expires = time.Unix(1, 0) // the framework leaves a MaxAge of 0 out
	}
	c.Cookie(cookie)
}

func (a *API) setDeviceCookie(c *fiber.Ctx, device edits.DeviceID, credential people.Credential) {
	a.renewals.due(string(device), a.Now())
	a.setCookie(c, deviceCookie, string(credential), deviceAge)
}

func (a *API) setPersonCookie(c *fiber.Ctx, credential people.Credential, until time.Time) {
	a.setCookie(c, personCookie, string(credential), until.Sub(a.Now()))
}

func (a *API) dropPersonCookie(c *fiber.Ctx) { a.setCookie(c, personCookie, "", 0) }

// cookie reads one of our cookies from the header as it came. A name that
// comes twice counts for nothing: one of them was put there by somebody else.
func cookieIn(header, name string) string {
	found, value := false, ""
	for part := range strings.SplitSeq(header, ";") {
		key, v, _ := strings.Cut(strings.TrimSpace(part), "=")
		if key != name {
			continue
		}
		if found && v != value {
			return ""
		}
		found, value = true, v
	}
	return strings.Clone(value)
}

func (a *API) cookie(c *fiber.Ctx, name string) string {
	return cookieIn(c.Get(fiber.HeaderCookie), a.cookieName(name))
}

// renewals remembers when each device last got its cookie, so that it gets it again every week.
type renewals struct {
	mu   sync.Mutex
	last map[string]time.Time
}

// due reports whether the device's cookie should be sent, and notes that it is.
func (r *renewals) due(device string, now time.Time) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.last == nil {
		r.last = map[string]time.Time{}
	}
	if last, ok := r.last[device]; ok && now.Sub(last) < renewCookie {
		return false
	}
	r.last[device] = now
	return true
}
