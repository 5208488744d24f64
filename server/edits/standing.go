package edits

// Checked says how it is known that an edit is its author's. Persisted: append only, never rename.
type Checked string

const (
	ByServer   Checked = "server"   // signed on a device where the server had checked the author
	OnDevice   Checked = "here"     // signed after the device alone had checked the author's PIN
	BySession  Checked = "session"  // not signed; the author was signed in on the pushing device
	ByNobody   Checked = "none"     // not signed; written by whoever stood at the device, as records of a pause are
	ByOperator Checked = "operator" // put in at the server itself, by its operator or the program
)

// Standing is what is known about who made an edit when it arrives.
type Standing struct {
	// Refused says in words for people why the edit is not judged; "": it is.
	Refused  string
	Checked  Checked
	PushedBy DeviceID
}

// Identity is the standing as the log keeps it.
type Identity struct {
	Checked  Checked  `json:"checked,omitempty"`
	PushedBy DeviceID `json:"pushed_by,omitempty"`
	Refused  bool     `json:"refused,omitempty"` // the reason is the verdict's
}

func (s Standing) identity() *Identity {
	return &Identity{Checked: s.Checked, PushedBy: s.PushedBy, Refused: s.Refused != ""}
}

func (e Entry) checked() Checked {
	if e.Identity == nil {
		return ""
	}
	return e.Identity.Checked
}
