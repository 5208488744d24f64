package api

import (
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"strconv"
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
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

	NotEnrolled Code = people.NotEnrolled
	Revoked     Code = people.Revoked
	NotSignedIn Code = people.NotSignedIn
	SignInAgain Code = people.SignInAgain
	NotAllowed  Code = people.NotAllowed
	WrongPIN    Code = people.WrongPIN
	WrongCode   Code = people.WrongCode
	NeedsSetUp  Code = people.NeedsSetUp
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
	NotEnrolled: fiber.StatusUnauthorized,
	Revoked:     fiber.StatusForbidden,
	NotSignedIn: fiber.StatusUnauthorized,
	SignInAgain: fiber.StatusForbidden,
	NotAllowed:  fiber.StatusForbidden,
	WrongPIN:    fiber.StatusForbidden,
	WrongCode:   fiber.StatusForbidden,
	NeedsSetUp:  fiber.StatusForbidden,
}

// Error is every answer that is not the one asked for.
type Error struct {
	Code     Code           `json:"code"`
	Text     string         `json:"text"` // for people
	Problems cards.Problems `json:"problems,omitempty"`
	// Wait is how many seconds the same request has to wait, Left how many wrong PINs are left before there is a wait.
	Wait int `json:"wait,omitempty"`
	Left int `json:"left,omitempty"`
}

// Error makes Error an error.
func (e *Error) Error() string { return string(e.Code) + ": " + e.Text }

func badRequest(text string) *Error { return &Error{Code: BadRequest, Text: text} }

func notFound(text string) *Error { return &Error{Code: NotFound, Text: text} }

func tooLarge(most int) *Error {
	if most == largeBody {
		return &Error{Code: TooLarge, Text: "The request is larger than 2 MiB. Send fewer edits at a time."}
	}
	return &Error{Code: TooLarge, Text: fmt.Sprintf("The request is larger than the %d KiB that this address takes.", most>>10)}
}

// busy tells a device when to come again.
func busy(text string, wait time.Duration) *Error {
	return &Error{Code: Busy, Text: text, Wait: seconds(wait)}
}

// seconds rounds up: who comes a moment too early is sent away once more.
func seconds(d time.Duration) int { return int((d + time.Second - 1) / time.Second) }

func ofRefusal(r *people.Refusal) *Error {
	e := &Error{Code: Code(r.Code), Text: r.Text, Wait: seconds(r.Wait), Left: r.Left}
	if _, known := statuses[e.Code]; !known {
		e.Code = BadRequest
	}
	return e
}

// fail answers a request that a handler returned an error for.
func (a *API) fail(c *fiber.Ctx, err error) error {
	a.setHeaders(c)
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
	if e.Wait > 0 {
		c.Set(fiber.HeaderRetryAfter, strconv.Itoa(e.Wait))
	} else if e.Code == Busy || e.Code == Unavailable {
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
	var refusal *people.Refusal
	var framework *fiber.Error
	switch {
	case errors.As(err, &own):
		return own
	case errors.As(err, &refusal):
		return ofRefusal(refusal)
	case errors.Is(err, people.ErrNoDevice):
		return &Error{Code: NotEnrolled, Text: "This device is not enrolled. The unit lead makes a code for it."}
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
		return &Error{Code: TooLarge, Text: "The request is larger than this address takes."}
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

func (a *API) noSuchCall(*fiber.Ctx) error {
	return notFound("There is no such call. See docs/api.md.")
}
