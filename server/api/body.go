package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/gofiber/fiber/v2"
)

// ownBody returns a copy of the request's body: what is kept of it outlives
// the request. The body is taken as it came, because the framework would
// unpack a compressed one without any limit, and 2 MiB can unpack to gigabytes.
func ownBody(c *fiber.Ctx) ([]byte, error) {
	if coding := c.Get(fiber.HeaderContentEncoding); coding != "" && !strings.EqualFold(coding, "identity") {
		return nil, badRequest("The request is compressed. Send it as it is.")
	}
	return bytes.Clone(c.Request().Body()), nil
}

func decodeBody(b []byte, v any) error {
	if !utf8.Valid(b) {
		return badRequest("The request is not UTF-8 text.")
	}
	if depthOf(b) > maxDepth {
		return badRequest(fmt.Sprintf("The request nests more than %d deep.", maxDepth))
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return badRequest(jsonText(err))
	}
	if len(bytes.TrimSpace(b[d.InputOffset():])) > 0 {
		return badRequest("Something stands after the end of the request's JSON.")
	}
	return nil
}

// jsonText says what is wrong with the JSON without the language's own names.
func jsonText(err error) string {
	var kind *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &kind):
		return fmt.Sprintf("The value of %q is of the wrong kind: a %s does not belong there.", kind.Field, kind.Value)
	case errors.As(err, &syntax):
		return fmt.Sprintf("The request is not valid JSON at byte %d.", syntax.Offset)
	case strings.HasPrefix(err.Error(), "json: unknown field "):
		return "The request has the unknown field " + strings.TrimPrefix(err.Error(), "json: unknown field ") + "."
	}
	return "The request is not complete JSON."
}

// depthOf counts how deep arrays and objects nest, without building anything.
func depthOf(b []byte) int {
	depth, deepest, inText := 0, 0, false
	for i := 0; i < len(b); i++ {
		switch c := b[i]; {
		case inText && c == '\\':
			i++
		case c == '"':
			inText = !inText
		case inText:
		case c == '{' || c == '[':
			depth++
			deepest = max(deepest, depth)
		case c == '}' || c == ']':
			depth--
		}
	}
	return deepest
}
