package api

import (
	"errors"
	"io/fs"
	"log/slog"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/edits"
)

// Code says what kind of error it is. Clients compare codes, people read texts.
type Code string

const (
	BadRequest  Code = "bad request"
	NotFound    Code = "not found"
	OtherEpoch  Code = "other epoch"
	TooLarge    Code = "too large"
	Busy        Code = "busy"
	Unavailable Code = "unavailable"
	Internal    Code = "internal"
)

// statuses is the one place where a code becomes a status.
var statuses = map[Code]int{
	BadRequest:  fiber.StatusBadRequest,
	NotFound:    fiber.StatusNotFound,
	OtherEpoch:  fiber.StatusConflict,
	TooLarge:    fiber.StatusRequestEntityTooLarge,
	Busy:        fiber.StatusTooManyRequests,
	Unavailable: fiber.StatusServiceUnavailable,
	Internal:    fiber.StatusInternalServerError,
}

// Error is every answer that is not the one asked for.
type Error struct {
	Code     Code           `json:"code"`
	Text     string         `json:"text"` // for people
	Problems cards.Problems `json:"problems,omitempty"`
}

// Error makes Error an error.
func (e *Error) Error() string { return string(e.Code) + ": " + e.Text }

func badRequest(text string) *Error { return &Error{Code: BadRequest, Text: text} }

func notFound(text string) *Error { return &Error{Code: NotFound, Text: text} }

func tooLarge() *Error {
	return &Error{Code: TooLarge, Text: "The request is larger than 2 MiB. Send fewer edits at a time."}
}

// fail answers a request that a handler returned an error for.
func (a *API) fail(c *fiber.Ctx, err error) error {
	setHeaders(c)
	e := public(err)
	if e.Code == Internal || e.Code == Unavailable {
		log := a.Log
		if stack := stackOf(err); stack != "" {
			log = log.With(slog.String("stack", stack))
		}
		log.Error("request failed", slog.String("code", string(e.Code)), slog.String("method", c.Method()),
			slog.String("route", c.Route().Path), slog.String("error", err.Error()))
	}
	body, err := edits.Encode(e)
	if err != nil {
		return err
	}
	if e.Code == Busy || e.Code == Unavailable {
		c.Set(fiber.HeaderRetryAfter, "5")
	}
	c.Status(statuses[e.Code])
	return sendJSON(c, body)
}

// stackOf says where in the program an error arose that is the program's own mistake, or "".
func stackOf(err error) string {
	var mistake interface{ Stack() string }
	if errors.As(err, &mistake) {
		return mistake.Stack()
	}
	return ""
}

// public turns any error into what may be said to a stranger.
func public(err error) *Error {
	var own *Error
	var framework *fiber.Error
	switch {
	case errors.As(err, &own):
		return own
	case errors.Is(err, edits.ErrReused):
		return badRequest("An edit has the id of an earlier one and says something else. Nothing of it was taken; give it an id of its own.")
	case errors.Is(err, edits.ErrOutcomeUnknown), errors.Is(err, edits.ErrStopped):
		return &Error{Code: Unavailable, Text: "The disk did not confirm. It is not known whether the edit is kept. Send the same edits again in a while; nothing is taken twice."}
	case errors.Is(err, edits.ErrReadOnly):
		return &Error{Code: Unavailable, Text: "The server's data did not pass their checks, so it takes no edits. Yours stay on this device. Tell whoever looks after the server."}
	case errors.Is(err, edits.ErrDamaged):
		return &Error{Code: Internal, Text: "A stored record is damaged and is not shown. Tell whoever looks after the server to verify its data."}
	case errors.Is(err, fs.ErrExist):
		return badRequest("There is a file with this name already. Choose another name.")
	case errors.As(err, &framework):
		return ofFramework(framework)
	}
	return &Error{Code: Internal, Text: "The server made a mistake. It is written in its log."}
}

// ofFramework gives the web framework's own refusals our codes.
func ofFramework(err *fiber.Error) *Error {
	switch {
	case err.Code == fiber.StatusRequestEntityTooLarge:
		return tooLarge()
	case err.Code == fiber.StatusNotFound:
		return notFound("There is nothing at this address.")
	case err.Code == fiber.StatusMethodNotAllowed:
		return badRequest("This address does not take this method. See docs/api.md.")
	case err.Code == fiber.StatusRequestTimeout:
		return badRequest("The request did not arrive in time. Send it again.")
	case err.Code >= 400 && err.Code < 500:
		return badRequest("The request cannot be read.")
	}
	return &Error{Code: Internal, Text: "The server made a mistake. It is written in its log."}
}

func noSuchCall(*fiber.Ctx) error {
	return notFound("There is no such call. See docs/api.md.")
}
