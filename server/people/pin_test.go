package people_test

import (
	"errors"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/people"
	"sideport/server/vault"
)

// wrongPIN is one that is not the right one.
func wrongPIN(right string) string {
	if right == "000000" {
		return "000001"
	}
	return "000000"
}

// issued is a PIN of a person.
func (u *unit) issued(person cards.PersonID) string {
	u.Helper()
	pin, err := u.doors.IssuePIN(u.lena, person)
	u.must(err)
	if len(pin) != 6 || strings.Trim(pin, "0123456789") != "" {
		u.Errorf("the PIN is %q", pin)
	}
	return pin
}

// tried is the answer to a PIN.
func (d *tablet) tried(person cards.PersonID, pin string) *people.Refusal {
	d.Helper()
	_, err := d.doors.SignIn(d.Device, person, pin)
	if err == nil {
		return nil
	}
	var r *people.Refusal
	if !errors.As(err, &r) {
		d.Fatal(err)
	}
	return r
}

func TestSignInWithAPIN(t *testing.T) {
	u, d := theatre(t)
	pin := u.issued("anna")
	in, err := u.doors.SignIn(d.Device, "anna", pin)
	u.must(err)
	if in.Person != "anna" || in.Name != "Anna" || len(in.Secret) != 32 || !in.Until.Equal(u.now.Add(12*time.Hour)) {
		t.Errorf("signed in: %+v", in)
	}
	again, err := u.doors.SignIn(d.Device, "anna", pin)
	u.must(err)
	elsewhere, err := u.doors.SignIn(u.enrol("Theatre 2", true).Device, "anna", pin)
	u.must(err)
	if string(again.Secret) != string(in.Secret) || string(elsewhere.Secret) == string(in.Secret) || again.Session == in.Session {
		t.Error("the secret is one for each person and device, the session another each time")
	}
	fresh := u.issued("anna")
	if r := d.tried("anna", pin); fresh != pin && (r == nil || r.Code != people.WrongPIN) {
		t.Errorf("the PIN from before: %+v", r)
	}
	renewed, err := u.doors.SignIn(d.Device, "anna", fresh)
	u.must(err)
	if string(renewed.Secret) != string(in.Secret) {
		t.Error("a fresh PIN does not open the same key")
	}
}

// Somebody unknown, somebody without a PIN and a wrong PIN get the same answer.
func TestAWrongNameAndAWrongPINAreAlike(t *testing.T) {
	u, d := theatre(t)
	pin := u.issued("anna")
	first := d.tried("anna", wrongPIN(pin))
	for _, c := range []struct {
		person cards.PersonID
		pin    string
	}{{"ben", "123456"}, {"nobody-here", "123456"}, {"sam", ""}} {
		if r := d.tried(c.person, c.pin); r == nil || *r != *first {
			t.Errorf("%s: %+v; a wrong PIN: %+v", c.person, r, first)
		}
	}
	if first.Left != 4 || first.Wait != 0 || first.Code != people.WrongPIN {
		t.Errorf("the first wrong PIN: %+v", first)
	}
	u.refusal(errOf(u.doors.SignIn(d.Device, "anna", strings.Repeat("1", 1000))), people.BadRequest)
}

func errOf[T any](_ T, err error) error { return err }

// The wait grows from a minute to an hour, on one device.
func TestWaitsGrow(t *testing.T) {
	u, d := theatre(t)
	pin := u.issued("anna")
	var waits []time.Duration
	for range 12 {
		r := d.tried("anna", wrongPIN(pin))
		waits = append(waits, r.Wait)
		if r.Wait > 0 {
			u.now = u.now.Add(r.Wait - time.Second)
			if locked := d.tried("anna", pin); locked == nil || locked.Wait != time.Second || locked.Left != 0 {
				t.Fatalf("a second before the wait ends: %+v", locked)
			}
			u.now = u.now.Add(time.Second)
		}
	}
	minutes := []time.Duration{0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 60, 60}
	for i, want := range minutes {
		if waits[i] != want*time.Minute {
			t.Errorf("after wrong PIN %d the wait is %v, want %d minutes", i+1, waits[i], want)
		}
	}
	if r := d.tried("anna", pin); r != nil {
		t.Errorf("the right PIN after the wait: %+v", r)
	}
	if r := d.tried("anna", wrongPIN(pin)); r.Left != 4 {
		t.Errorf("after the right one the tries begin again: %+v", r)
	}
}

// Twenty a day on all devices together; a fresh PIN makes the wrong ones worthless; a restart forgets nothing.
func TestTwentyADay(t *testing.T) {
	u, d := theatre(t)
	pin := u.issued("anna")
	var last *tablet
	for range 4 {
		last = u.enrol("Theatre", true)
		for range 5 {
			if r := last.tried("anna", wrongPIN(pin)); r == nil {
				t.Fatal("a wrong PIN opens")
			}
		}
	}
	if r := d.tried("anna", pin); r == nil || r.Wait != 24*time.Hour {
		t.Errorf("the right PIN after twenty wrong ones on other devices: %+v", r)
	}
	u.doors = u.opened(people.Config{Store: vault.Of(u.store)})
	if r := d.tried("anna", pin); r == nil || r.Wait != 24*time.Hour {
		t.Errorf("the same after a restart: %+v", r)
	}
	accounts, err := u.doors.Accounts()
	u.must(err)
	for _, a := range accounts {
		if (a.LockedUntil != nil) != (a.Person == "anna") {
			t.Errorf("%s is locked until %v", a.Person, a.LockedUntil)
		}
	}
	fresh := u.issued("anna")
	if r := d.tried("anna", fresh); r != nil {
		t.Errorf("a fresh PIN: %+v", r)
	}
	u.sound()
}

// Many at once get no more tries than one after the other.
func TestManyAtOnce(t *testing.T) {
	u, d := theatre(t)
	pin := u.issued("anna")
	var wg sync.WaitGroup
	var mu sync.Mutex
	looked, locked, busy := 0, 0, 0
	for range 40 {
		wg.Go(func() {
			_, err := u.doors.SignIn(d.Device, "anna", wrongPIN(pin))
			var r *people.Refusal
			mu.Lock()
			defer mu.Unlock()
			switch {
			case !errors.As(err, &r):
				t.Error(err)
			case r.Code == people.Busy:
				busy++
			case strings.HasPrefix(r.Text, "There were too many"):
				locked++
			default:
				looked++
			}
		})
	}
	wg.Wait()
	if looked > people.FreeTries || looked+locked+busy != 40 {
		t.Errorf("%d PINs were looked at, %d found a lock, %d were sent away", looked, locked, busy)
	}
}

func TestSessions(t *testing.T) {
	for _, c := range []struct {
		name  string
		then  func(u *unit, d *tablet)
		stays bool
	}{
		{"nothing happens", func(*unit, *tablet) {}, true},
		{"eleven hours pass", func(u *unit, d *tablet) { u.now = u.now.Add(11 * time.Hour) }, true},
		{"twelve hours pass", func(u *unit, d *tablet) { u.now = u.now.Add(12 * time.Hour) }, false},
		{"the clock is put back", func(u *unit, d *tablet) { u.now = u.now.Add(-time.Hour) }, false},
		{"the person signs out", func(u *unit, d *tablet) { u.must(u.doors.SignOut(d.Device, d.session)) }, false},
		{"somebody else signs in", func(u *unit, d *tablet) { _ = errOf(u.doors.SignInBy(people.ByOIDC, d.Device, "ben")) }, false},
		{"the person signs in on another device", func(u *unit, d *tablet) { u.enrol("Theatre 2", true).signIn("anna") }, true},
		{"the person is barred", func(u *unit, d *tablet) { u.must(u.doors.Bar(u.lena, "anna", true, "")) }, false},
		{"the person is barred and admitted again", func(u *unit, d *tablet) {
			u.must(u.doors.Bar(u.lena, "anna", true, ""))
			u.must(u.doors.Bar(u.lena, "anna", false, ""))
		}, false},
		{"the device is revoked", func(u *unit, d *tablet) { u.must(u.doors.Revoke(u.lena, d.ID, "")); d.Device = u.device(d.ID) }, false},
		{"a fresh PIN is issued", func(u *unit, d *tablet) { u.issued("anna") }, false},
		{"another device shows the cookie", func(u *unit, d *tablet) { d.Device = u.enrol("Theatre 2", true).Device }, false},
		{"another cookie is shown", func(u *unit, d *tablet) { d.session += "x" }, false},
		{"the program starts again", func(u *unit, d *tablet) { u.doors = u.opened(people.Config{Store: vault.Of(u.store)}) }, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			u, d := theatre(t)
			d.signIn("anna")
			c.then(u, d)
			if who := d.who(); (who != nil) != c.stays {
				t.Errorf("afterwards is signed in: %+v", who)
			}
			u.sound()
		})
	}
}

// Roles are those of the moment, not those of the sign-in.
func TestRolesAreReadEachTime(t *testing.T) {
	u, d := theatre(t)
	d.signIn("anna")
	u.has("anna", cards.PersonUnitLead)
	if who := d.who(); who == nil || !who.Lead() {
		t.Errorf("after she was made a unit lead: %+v", who)
	}
	lead := *d.who()
	u.has("anna", cards.PersonSurgeon)
	for what, err := range map[string]error{
		"a code":          errOf(u.doors.NewCode(lead, "X", true)),
		"a PIN":           errOf(u.doors.IssuePIN(lead, "ben")),
		"barring":         u.doors.Bar(lead, "ben", true, ""),
		"taking a device": u.doors.Revoke(lead, d.ID, ""),
	} {
		if r := u.refusal(err, people.NotAllowed); r.Text != "Only a unit lead does this." {
			t.Errorf("%s: %s", what, r.Text)
		}
	}
}

func TestCodes(t *testing.T) {
	u := setUp(t)
	code, err := u.doors.NewCode(u.lena, "  Theatre 1 ", true)
	u.must(err)
	if len(code.Text) != 9 || code.Text[4] != '-' || !code.Until.Equal(u.now.Add(10*time.Minute)) {
		t.Errorf("the code is %+v", code)
	}
	typed := strings.ToLower(strings.NewReplacer("-", " ", "0", "o", "1", "l").Replace(code.Text))
	device, credential, err := u.doors.Enrol(people.From{}, typed)
	u.must(err)
	if device.Name != "Theatre 1" || !device.Shared || device.By != "lena" {
		t.Errorf("enrolled: %+v", device)
	}
	u.refusal(func() error { _, _, err := u.doors.Enrol(people.From{}, code.Text); return err }(), people.WrongCode)
	if got, err := u.doors.Device(credential); err != nil || got.ID != device.ID {
		t.Errorf("its credential opens for %+v, %v", got, err)
	}
	for _, wrong := range []people.Credential{"", credential + "x", people.Credential(device.ID) + ".", people.Credential(u.office.ID) + credential[32:], "x"} {
		if _, err := u.doors.Device(wrong); !errors.Is(err, people.ErrNoDevice) {
			t.Errorf("the credential %q: %v", wrong, err)
		}
	}
	late, err := u.doors.NewCode(u.lena, "Theatre 2", true)
	u.must(err)
	u.now = late.Until
	for _, wrong := range []string{code.Text, late.Text, "", "0000-0000", "not a code", strings.Repeat("0", 9000)} {
		_, _, err := u.doors.Enrol(people.From{Addr: "192.0.2.1"}, wrong)
		u.refusal(err, people.WrongCode)
	}
	for _, name := range []string{"", "  ", strings.Repeat("x", 61), "a\nb"} {
		u.refusal(errOf(u.doors.NewCode(u.lena, name, true)), people.BadRequest)
	}
	for range 50 {
		_, err = u.doors.NewCode(u.lena, "many", false)
	}
	u.must(err)
	u.refusal(errOf(u.doors.NewCode(u.lena, "one too many", false)), people.NotAllowed)
	u.sound()
}

func TestSetUp(t *testing.T) {
	u := bare(t, filepath.Join(t.TempDir(), "data"))
	t.Cleanup(func() { _ = u.store.Close() })
	if needed, err := u.doors.NeedsSetUp(); err != nil || !needed || len(u.doors.SetUpCode()) != 9 {
		t.Fatalf("needs set-up: %v, %v, code %q", needed, err, u.doors.SetUpCode())
	}
	good := people.SetUp{Code: u.doors.SetUpCode(), Unit: "Eye unit", Name: "Lena", Device: people.DeviceName{Name: "Office"}}
	for name, c := range map[string]struct {
		alter func(*people.SetUp)
		code  string
	}{
		"another code":     {func(s *people.SetUp) { s.Code = "0000-0000" }, people.WrongCode},
		"no code":          {func(s *people.SetUp) { s.Code = "" }, people.WrongCode},
		"no name":          {func(s *people.SetUp) { s.Name = " " }, people.BadRequest},
		"no unit":          {func(s *people.SetUp) { s.Unit = "" }, people.BadRequest},
		"no device's name": {func(s *people.SetUp) { s.Device.Name = "" }, people.BadRequest},
	} {
		s := good
		c.alter(&s)
		if _, err := u.doors.SetUp(people.From{}, s); err == nil {
			t.Errorf("%s: it was set up", name)
		} else {
			u.refusal(err, c.code)
		}
	}
	if info, err := u.store.Info(); err != nil || info.Seq != 0 {
		t.Errorf("the refused set-ups left %d records (%v)", info.Seq, err)
	}
	u.begin()
	if !u.lena.Lead() || u.lena.Person != "lena" {
		t.Errorf("the first person is %+v", u.lena)
	}
	if needed, err := u.doors.NeedsSetUp(); err != nil || needed || u.doors.SetUpCode() != "" {
		t.Errorf("after set-up it is needed: %v, %v", needed, err)
	}
	_, err := u.doors.SetUp(people.From{}, good)
	u.refusal(err, people.WrongCode)
	if r := u.office.tried("lena", u.pin); r != nil {
		t.Errorf("the lead's PIN: %+v", r)
	}
	u.refusal(u.doors.Bar(u.lena, "lena", true, ""), people.NotAllowed)
	u.sound()
	// With the last lead's role gone, the printed code is the way back in.
	u.has("lena", cards.PersonReader)
	u.doors = u.opened(people.Config{Store: vault.Of(u.store)})
	u.begin()
	if !u.lena.Lead() {
		t.Errorf("set up again: %+v", u.lena)
	}
	u.sound()
}

func TestDemonstration(t *testing.T) {
	u := bare(t, filepath.Join(t.TempDir(), "data"))
	t.Cleanup(func() { _ = u.store.Close() })
	u.has("anna", cards.PersonSurgeon)
	u.has("lena", cards.PersonUnitLead)
	u.doors = u.opened(people.Config{Store: vault.Of(u.store), Demo: true})
	if needed, err := u.doors.NeedsSetUp(); needed || err != nil || u.doors.SetUpCode() != "" {
		t.Errorf("a demonstration needs set-up: %v, %v", needed, err)
	}
	shared, personal := u.doors.DemoCodes()
	for _, code := range []string{shared, personal, shared} {
		device, _, err := u.doors.Enrol(people.From{}, code)
		u.must(err)
		if device.Shared != (code == shared) {
			t.Errorf("the code gives %+v", device)
		}
		for _, p := range u.doors.DemoPINs() {
			if _, err := u.doors.SignIn(device, p.Person, p.PIN); err != nil {
				t.Errorf("%s with the printed PIN: %v", p.Name, err)
			}
		}
	}
	again := u.opened(people.Config{Store: vault.Of(u.store), Demo: true})
	if len(again.DemoPINs()) != 2 || again.DemoPINs()[0] != u.doors.DemoPINs()[0] {
		t.Errorf("the next start prints %v", again.DemoPINs())
	}
	if plain := u.opened(people.Config{Store: vault.Of(u.store)}); plain.DemoPINs() != nil {
		t.Error("PINs are printed outside a demonstration")
	} else if shared, _ := plain.DemoCodes(); shared != "" {
		t.Error("a fixed code opens outside a demonstration")
	}
	u.sound()
}
