package api

// routes is the whole route table.
func (a *API) routes() {
	v1 := a.app.Group("/api/v1")
	v1.Get("/snapshot", a.snapshotRead)
	v1.Get("/changes", a.changesRead)
	v1.Get("/docs/:kind/:id/revisions/:rev", a.revisionRead)
	v1.Post("/edits", a.editPush)
	v1.Get("/edits/:id", a.editRead)
	v1.Get("/set-aside", a.setAsideRead)
	v1.Post("/generate", a.sheetGenerate)
	v1.Get("/live", a.live)
	v1.Get("/health", a.health)
	v1.Post("/backup", a.backupWrite)
	a.app.Get("/healthz", a.ready)
	a.app.Use("/api", noSuchCall)
	a.app.Get("/*", a.asset)
}
