package battery_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/api"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/store/storetest"
	"sideport/web"
)

func init() {
	// Arguments: the data directory. The first line out is the address; then it serves until it is killed.
	children["serve"] = func(args []string) error { return serve(args[0]) }
}

// serve is the program's server without its commands: the same handlers, rules
// and store on a real port of this machine.
func serve(dir string) error {
	if err := store.Create(dir, store.Random); err != nil && !errors.Is(err, store.ErrExists) {
		return err
	}
	s, err := store.Open(dir)
	if err != nil {
		return err
	}
	report, err := s.Verify(store.Quick)
	if err != nil || len(report.Findings) > 0 {
		return fmt.Errorf("the data do not verify: %v, %w", report.Findings, err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	page := web.File{Path: web.Index, Type: "text/html; charset=utf-8", Raw: []byte("<!doctype html>"), ETag: `"1"`}
	a := api.New(api.Config{Store: s, Doors: everybody{store: s}, Unhurried: true, Assets: &web.Bundle{Build: "test", Files: map[string]web.File{web.Index: page}},
		Now: func() time.Time { return time.Now().UTC().Truncate(time.Millisecond) }, Log: slog.New(slog.NewTextHandler(io.Discard, nil)),
		Heartbeat: time.Second, Backup: backupInto(s, dir)})
	go func() {
		<-s.Failed()
		_ = a.Close(context.Background())
	}()
	fmt.Println(l.Addr())
	return a.Serve(l)
}

// everybody lets everybody in, whatever they say they are, and takes every
// edit as the operator's: the battery is after the log, the merge and the disk,
// and devices here are made by the thousand. The doors have tests of their own.
type everybody struct {
	api.Doors // what nobody here calls
	store     *store.Store
}

func (everybody) NeedsSetUp() (bool, error) { return false, nil }

func (everybody) Device(credential people.Credential) (people.Device, error) {
	return people.Device{ID: edits.DeviceID(credential)}, nil
}

func (everybody) Session(device people.Device, _ people.Credential) (people.Who, error) {
	return people.Who{Person: "anna", Roles: []cards.PersonRole{cards.PersonUnitLead}, Device: device.ID}, nil
}

func (everybody) Seen(edits.DeviceID, string) error { return nil }

func (everybody) Note(people.Event) error { return nil }

func (d everybody) Push(_ people.Device, _ *people.Who, now time.Time, list []edits.Edit) ([]edits.Receipt, error) {
	var receipts []edits.Receipt
	for _, e := range list {
		r, err := d.store.Accept(now, e)
		if err != nil {
			return receipts, err
		}
		receipts = append(receipts, r)
	}
	return receipts, nil
}

func backupInto(s *store.Store, dir string) func(string) (api.Backup, error) {
	return func(name string) (api.Backup, error) {
		path := filepath.Join(dir, "backups", name)
		report, err := s.Backup(path)
		if errors.Is(err, store.ErrExists) {
			return api.Backup{}, fmt.Errorf("%w: %s", fs.ErrExist, path)
		}
		return api.Backup{Path: path, Seq: report.Info.Seq, Head: report.Info.Head}, err
	}
}

// serverAt starts a server on a data directory and waits for its address.
func serverAt(t *testing.T, dir string) (*child, string) {
	t.Helper()
	c := launch(t, "serve", dir)
	line, err := c.out.ReadString('\n')
	if err != nil {
		t.Fatalf("the server did not start: %s", c.said())
	}
	return c, "http://" + strings.TrimSpace(line) + "/api/v1/"
}

// client is one device's connection. Requests have an end: a server that was killed must not hang a test.
var client = &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 64}}

// post sends JSON and decodes the answer; status 0 is no answer at all.
func post(url, call string, body, into any) int {
	b, err := edits.Encode(body)
	if err != nil {
		panic(err)
	}
	r, err := http.NewRequest(http.MethodPost, url+call, bytes.NewReader(b))
	if err != nil {
		panic(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Sideport-Request", "1")
	return answered(as(r, deviceOf(body)), into)
}

func get(url, call string, into any) int {
	r, err := http.NewRequest(http.MethodGet, url+call, nil)
	if err != nil {
		panic(err)
	}
	return answered(as(r, storetest.DeviceID("phone")), into)
}

// as shows the cookies of a device and of somebody on it.
func as(r *http.Request, device edits.DeviceID) *http.Request {
	r.AddCookie(&http.Cookie{Name: "sideport-device", Value: string(device)})
	r.AddCookie(&http.Cookie{Name: "sideport-person", Value: "anna"})
	return r
}

// deviceOf is the device that a push names.
func deviceOf(body any) edits.DeviceID {
	if push, ok := body.(map[string]any); ok {
		return push["device"].(edits.DeviceID)
	}
	return storetest.DeviceID("phone")
}

func answered(r *http.Request, into any) int {
	res, err := client.Do(r)
	if err != nil {
		return 0
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode == http.StatusOK && json.Unmarshal(b, into) != nil {
		return 0
	}
	return res.StatusCode
}

// pushEdit sends one edit. status 0: nobody knows what became of it.
func pushEdit(url string, e edits.Edit) (edits.Receipt, int) {
	var answer struct{ Receipts []edits.Receipt }
	status := post(url, "edits", map[string]any{"protocol": 1, "device": e.Device, "edits": []edits.Edit{e}}, &answer)
	if status != http.StatusOK || len(answer.Receipts) != 1 {
		return edits.Receipt{}, status
	}
	return answer.Receipts[0], status
}

// pushUntilKept sends an edit again and again under the same id until it has a receipt, as a device does.
func pushUntilKept(url string, e edits.Edit, limit time.Duration) (edits.Receipt, error) {
	for end := time.Now().Add(limit); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if r, status := pushEdit(url, e); status == http.StatusOK {
			return r, nil
		}
	}
	return edits.Receipt{}, fmt.Errorf("edit %s had no receipt within %s", e.ID, limit)
}
