package api

import (
	"log/slog"
	"net"
	"net/url"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"
)

// ownHost refuses requests under a foreign name. A page elsewhere can point a
// name of its own at this machine; the browser then takes our answers for
// that page's, but the name in the request gives it away.
func ownHost(c *fiber.Ctx) error {
	if !loopbackName(string(c.Request().Host())) {
		return badRequest("This server answers to localhost, 127.0.0.1 and [::1] alone.")
	}
	return c.Next()
}

// loopbackName reports whether host, with or without a port, is one of the names of this machine.
func loopbackName(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	switch strings.ToLower(strings.Trim(host, "[]")) {
	case "localhost", "127.0.0.1", "::1":
		return true
	}
	return false
}

// sameOrigin lets no other site's page change anything. The header cannot be
// set by a form, and by a script elsewhere only after asking, which nothing
// here allows.
func sameOrigin(c *fiber.Ctx) error {
	switch c.Method() {
	case fiber.MethodGet, fiber.MethodHead:
		return c.Next()
	case fiber.MethodPost:
	default:
		return badRequest("This server takes GET and POST alone.")
	}
	if site := c.Get("Sec-Fetch-Site"); site != "" && site != "same-origin" {
		return badRequest("Another site's page may not change anything here.")
	}
	if origin := c.Get("Origin"); origin != "" && !sameHost(origin, string(c.Request().Host())) {
		return badRequest("Another site's page may not change anything here.")
	}
	if c.Get("Sideport-Request") != "1" {
		return badRequest("The request lacks the header Sideport-Request: 1.")
	}
	kind, _, _ := strings.Cut(c.Get(fiber.HeaderContentType), ";")
	if !strings.EqualFold(strings.TrimSpace(kind), fiber.MIMEApplicationJSON) {
		return badRequest("The request's Content-Type is not application/json.")
	}
	return c.Next()
}

func sameHost(origin, host string) bool {
	u, err := url.Parse(origin)
	return err == nil && u.Host != "" && strings.EqualFold(u.Host, host)
}

// logged writes one line a request. It names the route, never what was sent.
func (a *API) logged(c *fiber.Ctx) error {
	began := a.Now()
	err := c.Next()
	if err != nil {
		err = a.fail(c, err)
	}
	a.Log.Info("request", slog.String("method", c.Method()), slog.String("route", c.Route().Path),
		slog.Int("status", c.Response().StatusCode()), slog.Duration("took", a.Now().Sub(began).Round(time.Microsecond)))
	return err
}
