package api

import (
	"bytes"
	"log/slog"
	"net"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"
)

// secure reports whether what the browser speaks is TLS, here or at the proxy.
func (a *API) secure() bool { return a.TLS != nil || len(a.Proxies) > 0 }

// ownDoor refuses requests that did not come the way they should: under a
// foreign name, past the proxy, or to a proxy that was asked without TLS. A
// page elsewhere can point a name of its own at this machine; the browser then
// takes our answers for that page's, but the name in the request gives it away.
func (a *API) ownDoor(c *fiber.Ctx) error {
	if !a.ownName(c) {
		if a.Origin != "" {
			return badRequest("This server answers to " + a.Origin + " alone.")
		}
		return badRequest("This server answers to localhost, 127.0.0.1 and [::1] alone.")
	}
	if len(a.Proxies) == 0 || a.local(c) {
		return c.Next()
	}
	if !a.proxied(c) {
		return badRequest("This server is reached through its proxy alone: use " + a.Origin + ".")
	}
	if proto := c.Get(fiber.HeaderXForwardedProto); proto != "" && !strings.EqualFold(proto, "https") {
		return badRequest("The proxy was asked without TLS: use " + a.Origin + ".")
	}
	return c.Next()
}

// ownName reports whether the request names this server.
func (a *API) ownName(c *fiber.Ctx) bool {
	host := string(c.Request().Host())
	if a.Origin == "" {
		return loopbackName(host)
	}
	return strings.EqualFold(withoutPort(host, ":443"), withoutPort(strings.TrimPrefix(a.Origin, "https://"), ":443")) ||
		a.local(c) && loopbackName(host)
}

func withoutPort(host, port string) string { return strings.TrimSuffix(host, port) }

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

// peer is the other end of the connection: a device, or the proxy.
func (a *API) peer(c *fiber.Ctx) netip.Addr { return addressOf(c.Context().RemoteAddr()) }

func addressOf(addr net.Addr) netip.Addr {
	if tcp, ok := addr.(*net.TCPAddr); ok {
		ip, _ := netip.AddrFromSlice(tcp.IP)
		return ip.Unmap()
	}
	return netip.Addr{}
}

func (a *API) proxied(c *fiber.Ctx) bool { return isProxy(a.Proxies, a.peer(c)) }

func isProxy(proxies []netip.Prefix, ip netip.Addr) bool {
	return slices.ContainsFunc(proxies, func(p netip.Prefix) bool { return p.Contains(ip) })
}

// local reports whether a program of this machine asks: over loopback, and not for somebody whom a proxy names.
func (a *API) local(c *fiber.Ctx) bool {
	return a.peer(c).IsLoopback() && forwarded(c, fiber.HeaderXForwardedFor) == "" && forwarded(c, fiber.HeaderXForwardedProto) == ""
}

// from is the address a request came from. What a proxy says counts, and of
// that the last address that is no proxy: everything before it anybody can write.
func (a *API) from(c *fiber.Ctx) netip.Addr {
	ip := a.peer(c)
	if !isProxy(a.Proxies, ip) {
		return ip
	}
	// Some proxies add a line of their own to those that came: all lines are one list (RFC 9110, section 5.3).
	said := strings.Split(forwarded(c, fiber.HeaderXForwardedFor), ",")
	for _, text := range slices.Backward(said) {
		named, err := netip.ParseAddr(strings.TrimSpace(text))
		if err != nil {
			return ip
		}
		if ip = named.Unmap(); !isProxy(a.Proxies, ip) {
			return ip
		}
	}
	return ip
}

// forwarded are all lines of a header.
func forwarded(c *fiber.Ctx, name string) string {
	return string(bytes.Join(c.Request().Header.PeekAll(name), []byte(",")))
}

// groupOf is what one household of addresses is counted as: an IPv4 address,
// or the 64 bits of an IPv6 address that its owner does not choose.
func groupOf(ip netip.Addr) string {
	if ip.Is6() {
		if p, err := ip.WithZone("").Prefix(64); err == nil {
			return p.Masked().String()
		}
	}
	return ip.String()
}

// sameOrigin lets no other site's page change anything. The header cannot be
// set by a form, and by a script elsewhere only after asking, which nothing
// here allows.
func (a *API) sameOrigin(c *fiber.Ctx) error {
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
	if origin := c.Get("Origin"); origin != "" && !a.ownOrigin(c, origin) {
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

// ownOrigin compares what the browser says of the page with the address of this server.
func (a *API) ownOrigin(c *fiber.Ctx, origin string) bool {
	if a.Origin != "" && !(a.local(c) && loopbackName(string(c.Request().Host()))) {
		return strings.EqualFold(withoutPort(origin, ":443"), withoutPort(a.Origin, ":443"))
	}
	scheme := "http"
	if a.TLS != nil {
		scheme = "https"
	}
	u, err := url.Parse(origin)
	return err == nil && u.Scheme == scheme && u.Host != "" && strings.EqualFold(u.Host, string(c.Request().Host()))
}

// logged writes one line a request. It names the route, never what was sent; of one that was refused also why, and which device asked.
func (a *API) logged(c *fiber.Ctx) error {
	began := a.Now()
	err := c.Next()
	said := []any{slog.String("method", c.Method()), slog.String("route", c.Route().Path)}
	if err != nil {
		said = append(said, slog.String("refused", string(public(err).Code)))
		if known := callerOf(c); known.device != nil {
			said = append(said, slog.String("device", string(known.device.ID)))
		}
		err = a.fail(c, err)
	}
	said = append(said, slog.Int("status", c.Response().StatusCode()), slog.Duration("took", a.Now().Sub(began).Round(time.Microsecond)))
	a.Log.Info("request", said...)
	return err
}
