package api

import (
	"path"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"sideport/web"
)

// asset serves the built web client. Every address without a file extension
// is a screen, and every screen is the same page.
func (a *API) asset(c *fiber.Ctx) error {
	name := strings.TrimPrefix(c.Path(), "/")
	file, ok := a.Assets.Files[name]
	if !ok && path.Ext(name) == "" {
		file, ok = a.Assets.Files[web.Index]
	}
	if !ok {
		return notFound("There is no such file.")
	}
	c.Set(fiber.HeaderVary, fiber.HeaderAcceptEncoding)
	c.Set(fiber.HeaderCacheControl, "no-cache")
	if file.Immutable {
		c.Set(fiber.HeaderCacheControl, "public, max-age=31536000, immutable")
	}
	body, coding := choose(file, c.Get(fiber.HeaderAcceptEncoding))
	tag := codedTag(file.ETag, coding)
	c.Set(fiber.HeaderETag, tag)
	if matches(c.Get(fiber.HeaderIfNoneMatch), tag) {
		return c.SendStatus(fiber.StatusNotModified)
	}
	if coding != "" {
		c.Set(fiber.HeaderContentEncoding, coding)
	}
	c.Set(fiber.HeaderContentType, file.Type)
	return c.Send(body)
}

// choose returns the smallest form that the browser takes.
func choose(f web.File, accept string) (body []byte, coding string) {
	switch {
	case len(f.Brotli) > 0 && takes(accept, "br"):
		return f.Brotli, "br"
	case len(f.Gzip) > 0 && takes(accept, "gzip"):
		return f.Gzip, "gzip"
	}
	return f.Raw, ""
}

// takes reads Accept-Encoding: a coding that is named and not with q=0.
func takes(accept, coding string) bool {
	for part := range strings.SplitSeq(accept, ",") {
		name, params, _ := strings.Cut(strings.TrimSpace(part), ";")
		if !strings.EqualFold(strings.TrimSpace(name), coding) {
			continue
		}
		_, weight, found := strings.Cut(strings.ReplaceAll(params, " ", ""), "q=")
		q, err := strconv.ParseFloat(weight, 64)
		return !found || (err == nil && q > 0)
	}
	return false
}

// codedTag tells the forms of one file apart, as a strong tag must.
func codedTag(tag, coding string) string {
	if coding == "" {
		return tag
	}
	return strings.TrimSuffix(tag, `"`) + "-" + coding + `"`
}

func matches(ifNoneMatch, tag string) bool {
	for part := range strings.SplitSeq(ifNoneMatch, ",") {
		part = strings.TrimPrefix(strings.TrimSpace(part), "W/")
		if part == "*" || part == tag {
			return true
		}
	}
	return false
}
