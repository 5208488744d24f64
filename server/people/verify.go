package people

import (
	"encoding/json"
	"fmt"

	"sideport/cards"
	"sideport/server/edits"
)

// maxFindings bounds what Verify says.
const maxFindings = 20

// firstSigned is the edition of the rules from which on every entry says whose edit it is.
const firstSigned = 4

// Verify checks every signature of the log again, that each author had the
// role at that place of the log, and that every event can be read. Chains and
// hashes are the store's to verify. It returns what is wrong.
func Verify(v Vault) (findings []string, err error) {
	c := &checking{roles: map[string][]cards.PersonRole{}, owner: map[string]cards.PersonID{}}
	err = v.View(func(tx Tx) error {
		c.tx = tx
		info, err := tx.Info()
		if err != nil {
			return err
		}
		for seq := edits.Seq(1); seq <= info.Seq && err == nil; seq++ {
			err = c.record(seq)
		}
		if err != nil {
			return err
		}
		return c.events()
	})
	return c.findings, err
}

// checking walks the log and knows who had which role and whose card was whose.
type checking struct {
	tx       Tx
	roles    map[string][]cards.PersonRole
	owner    map[string]cards.PersonID
	findings []string
}

func (c *checking) found(format string, args ...any) {
	if len(c.findings) < maxFindings {
		c.findings = append(c.findings, fmt.Sprintf(format, args...))
	}
}

func (c *checking) record(seq edits.Seq) error {
	e, _, _, err := c.tx.Record(seq)
	if err != nil {
		return err
	}
	if e.Verdict.Rules >= firstSigned && !e.Refused() {
		if err := c.identity(e); err != nil {
			return err
		}
	}
	c.learn(e)
	return nil
}

func (c *checking) identity(e edits.Entry) error {
	if e.Identity == nil {
		c.found("record %d does not say how it is known whose edit it is", e.Seq)
		return nil
	}
	wrong, err := c.proof(e)
	if err != nil {
		return err
	}
	if wrong != "" {
		c.found("record %d: %s", e.Seq, wrong)
	}
	return nil
}

func (c *checking) proof(e edits.Entry) (string, error) {
	switch at := e.Identity; at.Checked {
	case edits.ByServer, edits.OnDevice:
		_, reason, err := checkSignature(c.tx, e.Edit)
		if err != nil || reason != "" {
			return reason, err
		}
	case edits.BySession:
		if e.Edit.Sig != "" || e.Edit.Device != at.PushedBy {
			return "a session vouched for it, and it came from another device", nil
		}
	case edits.ByNobody:
		if e.Edit.Kind != edits.Record || e.Edit.Author != edits.Theatre {
			return "nobody vouched for it", nil
		}
		return "", nil
	case edits.ByOperator:
		if Signed(e.Edit) {
			return "the operator vouches for what is signed", nil
		}
		return "", nil
	default:
		return fmt.Sprintf("%q is no way of knowing whose edit it is", at.Checked), nil
	}
	return c.role(e.Edit)
}

// role asks whether the author had the role when the edit was taken.
func (c *checking) role(e edits.Edit) (string, error) {
	action, err := actionOf(c, e)
	if err != nil || action == "" || Allowed(c.roles[string(e.Author)], action) {
		return "", err
	}
	return fmt.Sprintf("%s had no role for it", e.Author), nil
}

// Document stands in for the document as it was at this place of the log.
func (c *checking) Document(kind edits.Kind, id string) (edits.Document, bool, error) {
	owner, ok := c.owner[id]
	if !ok || kind != edits.Card {
		return edits.Document{}, false, nil
	}
	body, err := json.Marshal(map[string]cards.PersonID{"owner": owner})
	return edits.Document{Kind: kind, ID: id, Body: body}, true, err
}

// learn keeps what later entries are judged by.
func (c *checking) learn(e edits.Entry) {
	result := e.Result()
	if result == nil {
		return
	}
	switch e.Edit.Kind {
	case edits.Card:
		c.owner[e.Edit.Doc] = ownerOf(result)
	case edits.Person:
		var p cards.Person
		if json.Unmarshal(result, &p) == nil {
			c.roles[e.Edit.Doc] = p.Roles
		}
	}
}

// events checks that every event can be read and stands where it says.
func (c *checking) events() error {
	last, _, err := c.tx.EventHead()
	if err != nil {
		return err
	}
	for seq := uint64(1); seq <= last; seq++ {
		e, _, _, err := eventIn(c.tx, seq)
		switch {
		case err != nil:
			c.found("%v", err)
			return nil
		case e.Seq != seq:
			c.found("event %d says it is %d", seq, e.Seq)
		}
	}
	return nil
}
