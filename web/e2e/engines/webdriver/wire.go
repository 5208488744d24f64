package webdriver

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"github.com/coder/websocket"
)

// wire is the connection of one session. Commands carry numbers, and answers come back under them:
// W3C WebDriver BiDi, "Commands".
type wire struct {
	conn *websocket.Conn
	lost chan struct{} // closed when no answer will come any more
	why  error         // set before lost is closed

	mu      sync.Mutex
	last    int
	waiting map[int]chan answer
}

// answer is a message of the browser; events have no number, and nobody asked for any.
type answer struct {
	Type   string
	ID     int
	Result json.RawMessage
	protocolError
}

// largest is how long a message may be: a picture of a page has some hundred kilobytes.
const largest = 64 << 20

func dial(address string, limit time.Duration) (*wire, error) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	conn, _, err := websocket.Dial(ctx, address, nil)
	if err != nil {
		return nil, err
	}
	conn.SetReadLimit(largest)
	w := &wire{conn: conn, lost: make(chan struct{}), waiting: map[int]chan answer{}}
	go w.listens()
	return w, nil
}

func (w *wire) hangUp() { w.conn.CloseNow() }

// listens hands every answer to the call that waits for it, until the connection ends.
func (w *wire) listens() {
	defer close(w.lost)
	for {
		_, message, err := w.conn.Read(context.Background())
		if err != nil {
			w.why = fmt.Errorf("the browser hung up: %w", err)
			return
		}
		var a answer
		if err := json.Unmarshal(message, &a); err != nil {
			w.why = fmt.Errorf("the browser's answer: %w", err)
			return
		}
		if asker := w.takes(a.ID); asker != nil {
			asker <- a
		}
	}
}

// asks notes that somebody waits, and gives the number of the command.
func (w *wire) asks() (int, chan answer) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.last++
	asker := make(chan answer, 1) // an answer that comes too late waits for nobody
	w.waiting[w.last] = asker
	return w.last, asker
}

// takes gives whoever waits under the number, once.
func (w *wire) takes(number int) chan answer {
	w.mu.Lock()
	defer w.mu.Unlock()
	asker := w.waiting[number]
	delete(w.waiting, number)
	return asker
}

// call sends one command and reads the result of the answer.
func (w *wire) call(limit time.Duration, method string, params, into any) error {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	number, asker := w.asks()
	defer w.takes(number)
	command, err := json.Marshal(map[string]any{"id": number, "method": method, "params": params})
	if err != nil {
		return err
	}
	if err := w.conn.Write(ctx, websocket.MessageText, command); err != nil {
		return fmt.Errorf("%s: %w", method, err)
	}
	select {
	case a := <-asker:
		return a.into(method, into)
	case <-w.lost:
		return fmt.Errorf("%s: %w", method, w.why)
	case <-ctx.Done():
		return fmt.Errorf("%s: no answer in %s", method, limit)
	}
}

func (a answer) into(method string, into any) error {
	if a.Type == "error" {
		return fmt.Errorf("%s: %w", method, a.protocolError)
	}
	if into == nil {
		return nil
	}
	return json.Unmarshal(a.Result, into)
}
