package people

// Fits is what checks one signature.
var Fits = fits

// Names of what tests reach into.
const (
	TableSessions = tableSessions
	MaxQueued     = maxQueued + maxHashing
	FreeTries     = freeTries
	DayTries      = dayTries
)

// TidyCode undoes what people do to a code.
var TidyCode = tidyCode
