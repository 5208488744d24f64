package api

// Row is a row of the route table as tests see it.
type Row struct {
	Method, Path, Who string
	Body              int
}

// Rows is the route table.
func Rows() []Row {
	var rows []Row
	for _, r := range table {
		rows = append(rows, Row{r.method, r.path, string(r.who), r.body})
	}
	return rows
}

// Registered is every method and path that the framework knows.
func (a *API) Registered() []Row {
	var rows []Row
	for _, list := range a.app.Stack() {
		for _, r := range list {
			rows = append(rows, Row{Method: r.Method, Path: r.Path})
		}
	}
	return rows
}
