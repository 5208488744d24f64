package cards

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Quantity is the number of a value, kept as a decimal so that server and
// tablet agree to the last digit (floating point does not: see doc.go).
// The zero Quantity means "not stated", which is never the same as 0.
//
// A Quantity has no unit of its own: the parameter that holds it has exactly
// one (see Parameters), so a unit can never be chosen at display time.
type Quantity struct {
	stated     bool
	millionths int64
}

const (
	quantityScale  = 1_000_000
	quantityPlaces = 6
	// quantityLimit keeps every product with a small factor inside int64.
	quantityLimit = 1_000_000_000
)

// Errors of ParseQuantity. Each names what is wrong and how to write it.
var (
	ErrQuantitySyntax = errors.New("write digits with at most one decimal point, for example 65 or 0.5")
	ErrQuantityPoint  = errors.New("write a digit on both sides of the decimal point, for example 0.5 or 5")
	ErrQuantityPlaces = errors.New("at most six decimal places")
	ErrQuantityRange  = errors.New("too large: below 1,000 million")
)

// Whole returns the Quantity n.
func Whole(n int64) Quantity { return Quantity{stated: true, millionths: n * quantityScale} }

// FromMillionths returns the Quantity n / 1,000,000.
func FromMillionths(n int64) Quantity { return Quantity{stated: true, millionths: n} }

// MustQuantity is ParseQuantity for figures written in source. It panics on bad syntax.
func MustQuantity(s string) Quantity {
	q, err := ParseQuantity(s)
	if err != nil {
		panic(fmt.Sprintf("cards: MustQuantity(%q): %v", s, err))
	}
	return q
}

// ParseQuantity reads a plain decimal: optional minus, digits, at most one
// point with digits on both sides. ".5", "5.", "1.2.3", "1e3" and "1,5" are
// refused, because blocking them at entry halves out-by-ten errors
// (Thimbleby and Cairns 2010, doi:10.1098/rsif.2010.0112). An empty string is
// the Quantity "not stated". Trailing zeros are accepted and not kept.
func ParseQuantity(s string) (Quantity, error) {
	if s == "" {
		return Quantity{}, nil
	}
	digits, negative := strings.CutPrefix(s, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	if !onlyDigits(whole) || !onlyDigits(fraction) {
		return Quantity{}, ErrQuantitySyntax
	}
	if whole == "" || (point && fraction == "") {
		return Quantity{}, ErrQuantityPoint
	}
	fraction = strings.TrimRight(fraction, "0")
	if len(fraction) > quantityPlaces {
		return Quantity{}, ErrQuantityPlaces
	}
	n, err := strconv.ParseInt(whole, 10, 64)
	if err != nil || n >= quantityLimit {
		return Quantity{}, ErrQuantityRange
	}
	n *= quantityScale
	if fraction != "" {
		f, err := strconv.ParseInt(fraction+strings.Repeat("0", quantityPlaces-len(fraction)), 10, 64)
		if err != nil {
			return Quantity{}, ErrQuantitySyntax
		}
		n += f
	}
	if negative {
		n = -n
	}
	return Quantity{stated: true, millionths: n}, nil
}

func onlyDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// Stated reports whether a number was given.
func (q Quantity) Stated() bool { return q.stated }

// IsZero reports whether nothing was stated; it makes `json:",omitzero"` leave the field out.
func (q Quantity) IsZero() bool { return !q.stated }

// Millionths returns the number times 1,000,000. It is 0 when not stated.
func (q Quantity) Millionths() int64 { return q.millionths }

// Cmp compares two stated quantities: -1, 0 or +1. Callers check Stated first.
func (q Quantity) Cmp(r Quantity) int {
	switch {
	case q.millionths < r.millionths:
		return -1
	case q.millionths > r.millionths:
		return 1
	}
	return 0
}

// String writes the number the one safe way: a leading zero, no trailing
// zero, no grouping. Not stated is "".
func (q Quantity) String() string {
	if !q.stated {
		return ""
	}
	n, sign := q.millionths, ""
	if n < 0 {
		n, sign = -n, "-"
	}
	whole, fraction := n/quantityScale, n%quantityScale
	if fraction == 0 {
		return sign + strconv.FormatInt(whole, 10)
	}
	digits := strconv.FormatInt(fraction+quantityScale, 10)[1:]
	return sign + strconv.FormatInt(whole, 10) + "." + strings.TrimRight(digits, "0")
}

// MarshalText writes String. JSON therefore carries quantities as strings:
// a browser must never round one.
func (q Quantity) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText reads what ParseQuantity reads.
func (q *Quantity) UnmarshalText(b []byte) error {
	parsed, err := ParseQuantity(string(b))
	if err != nil {
		return fmt.Errorf("%q is not a number: %w", b, err)
	}
	*q = parsed
	return nil
}
