package battery

import "fmt"

// Result is what a simulation found.
type Result struct {
	// Violation is nil when none was found.
	Violation error
	// Trace is a hash of everything that happened, in order. The same schedule gives the same one.
	Trace string
	// Bodies is a hash of the log without its times.
	Bodies string
	Edits, Merged, Questions, SetAside, Proposals, Answers,
	Pushes, Lost, Repeated, Restarts, Restores, OfferedAnew int
}

// Add adds the counts of another simulation.
func (r *Result) Add(o Result) {
	for to, n := range map[*int]int{&r.Edits: o.Edits, &r.Merged: o.Merged, &r.Questions: o.Questions, &r.SetAside: o.SetAside,
		&r.Proposals: o.Proposals, &r.Answers: o.Answers, &r.Pushes: o.Pushes,
		&r.Lost: o.Lost, &r.Repeated: o.Repeated, &r.Restarts: o.Restarts, &r.Restores: o.Restores, &r.OfferedAnew: o.OfferedAnew} {
		*to += n
	}
}

// String says the counts in words.
func (r Result) String() string {
	return fmt.Sprintf("%d edits (in the final logs: %d merged, %d questions, %d set aside, %d proposals, %d of them answered), %d pushes, %d messages lost, %d repeated, %d server restarts, %d restores, %d edits offered anew",
		r.Edits, r.Merged, r.Questions, r.SetAside, r.Proposals, r.Answers, r.Pushes, r.Lost, r.Repeated, r.Restarts, r.Restores, r.OfferedAnew)
}
