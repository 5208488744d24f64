package api

import (
	"bufio"
	"fmt"
	"net"
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/server/edits"
)

// live streams the place of the log: at once, after every change, and a comment now and then.
func (a *API) live(c *fiber.Ctx) error {
	s, ok := a.hub.join(callerOf(c).device.ID)
	if !ok {
		return &Error{Code: Busy, Text: "Too many devices listen at once. Ask for changes now and then instead."}
	}
	info, err := a.Store.Info()
	if err != nil {
		a.hub.leave(s)
		return err
	}
	c.Set(fiber.HeaderContentType, "text/event-stream")
	c.Set(fiber.HeaderCacheControl, "no-store")
	c.Set("X-Accel-Buffering", "no")
	conn := c.Context().Conn()
	c.Context().SetBodyStreamWriter(func(w *bufio.Writer) { a.stream(w, conn, s, info) })
	return nil
}

// patience is how long a device may take nothing before it counts as gone. Its
// seat is somebody else's then; a device that wakes up connects again.
const patience = time.Minute

// stream runs until the server closes or the device is gone, which shows when a write fails.
func (a *API) stream(w *bufio.Writer, conn net.Conn, s *seat, info edits.Info) {
	defer a.hub.leave(s)
	beat := time.NewTicker(a.Heartbeat)
	defer beat.Stop()
	line := event(info.Epoch, info.Seq)
	for {
		if err := conn.SetWriteDeadline(time.Now().Add(patience)); err != nil {
			return
		}
		if _, err := w.WriteString(line); err != nil {
			return
		}
		if err := w.Flush(); err != nil {
			return
		}
		select {
		case <-a.hub.done:
			return
		case <-s.gone:
			return
		case seq := <-s.news:
			line = event(info.Epoch, seq)
		case <-beat.C:
			line = ": still here\n\n"
		}
	}
}

func event(epoch string, seq edits.Seq) string {
	return fmt.Sprintf("event: seq\ndata: {\"epoch\": %q, \"seq\": %d}\n\n", epoch, seq)
}
