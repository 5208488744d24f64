package api

import (
	"strings"

	"github.com/gofiber/fiber/v2"

	"sideport/server/edits"
)

const maxNonce = 100

// health answers with the caller's nonce: a network that answers everything with a page of its own cannot.
func (a *API) health(c *fiber.Ctx) error {
	nonce := strings.Clone(c.Query("nonce"))
	if len(nonce) > maxNonce {
		return badRequest("The nonce is longer than 100 bytes.")
	}
	info, err := a.Store.Info()
	if err != nil {
		return err
	}
	return send(c, struct {
		OK       bool      `json:"ok"`
		Nonce    string    `json:"nonce"`
		Epoch    string    `json:"epoch"`
		Seq      edits.Seq `json:"seq"`
		Core     string    `json:"core"`
		ReadOnly bool      `json:"readonly"`
		Demo     bool      `json:"demo"`
	}{true, nonce, info.Epoch, info.Seq, a.Assets.Build, a.Store.ReadOnly(), a.Demo})
}

// ready answers whoever watches over the process, who reads nothing but the
// status: 503 while edits are not taken, whatever can still be read.
func (a *API) ready(c *fiber.Ctx) error {
	if a.Store.ReadOnly() {
		c.Status(fiber.StatusServiceUnavailable)
	}
	return a.health(c)
}
