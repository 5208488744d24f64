package api

import (
	"github.com/gofiber/fiber/v2"
)

// contentPolicy lets the page run its own scripts and the WebAssembly core, talk to this server and do nothing else.
const contentPolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; " +
	"font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; " +
	"frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types sideport"

// permissions switches off what the page has no use for. Clipboard writing and the screen's wake lock stay.
const permissions = "accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), magnetometer=(), microphone=(), " +
	"midi=(), payment=(), serial=(), usb=(), screen-wake-lock=(self)"

// strictTransport keeps a browser from ever asking this name without TLS again.
const strictTransport = "max-age=63072000"

func (a *API) headers(c *fiber.Ctx) error {
	a.setHeaders(c)
	return c.Next()
}

// setHeaders sets what every answer carries, refusals before the first handler as well.
func (a *API) setHeaders(c *fiber.Ctx) {
	if a.secure() {
		c.Set("Strict-Transport-Security", strictTransport)
	}
	c.Set("Content-Security-Policy", contentPolicy)
	c.Set("X-Content-Type-Options", "nosniff")
	c.Set("Referrer-Policy", "no-referrer")
	c.Set("Cross-Origin-Opener-Policy", "same-origin")
	c.Set("Cross-Origin-Resource-Policy", "same-origin")
	c.Set("Permissions-Policy", permissions)
}
