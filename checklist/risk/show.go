package risk

import (
	"math/big"
	"slices"
	"strconv"
	"strings"

	"sideport/cards"
)

func (m Model) line(it Item, possible []Level, facts cards.Facts) Line {
	low, high := slices.MinFunc(possible, byWeight), slices.MaxFunc(possible, byWeight)
	l := Line{Item: it.ID, Label: it.Label, Effect: m.effect(low, high), Mark: it.mark(), Substituted: it.Substituted}
	for _, p := range possible {
		l.Level = joined(l.Level, p.Name)
	}
	for _, id := range it.factors() {
		if values, known := facts.Fact(id); known {
			l.Because = append(l.Because, factorLabel(id)+": "+factorText(id, values))
		}
	}
	switch {
	case len(possible) > 1:
		l.State, l.Missing = missing(it, facts)
	case possible[0].Name == it.Levels[0].Name:
		l.State = LineNot
	default:
		l.State = LineCounted
	}
	return l
}

func joined(list, next string) string {
	if list == "" {
		return next
	}
	return list + " or " + next
}

// mark is that of the item's figures; the reference level of a point score has none.
func (it Item) mark() string { return string(it.Levels[len(it.Levels)-1].Mark) }

// missing tells what is not known from what was not asked. One thing that is
// part of the case, or was asked, makes the line "not known".
func missing(it Item, facts cards.Facts) (LineState, []string) {
	state := LineNotAsked
	var names []string
	for _, id := range it.factors() {
		values, known := facts.Fact(id)
		if known {
			continue
		}
		if _, input := inputByID(id); input && values[0] == "" {
			names = append(names, factorLabel(id)+": "+string(LineNotAsked))
			continue
		}
		state = LineNotKnown
		names = append(names, factorLabel(id)+": "+string(LineNotKnown))
	}
	return state, names
}

func factorLabel(id cards.FactorID) string {
	if in, ok := inputByID(id); ok {
		return in.Label
	}
	f, _ := cards.FactorByID(id)
	return f.Label
}

func factorText(id cards.FactorID, values []string) string {
	text := strings.Join(values, ", ")
	f, ok := cards.FactorByID(id)
	if q, err := cards.ParseQuantity(text); ok && f.Kind == cards.FactorNumber && err == nil {
		text = q.String()
	}
	if f.Unit != "" {
		text += " " + f.Unit
	}
	return text
}

func (m Model) effect(low, high Level) string {
	if m.Baseline.Stated() {
		return between("× "+low.Ratio.String(), "× "+high.Ratio.String())
	}
	return between(strconv.Itoa(low.Points), strconv.Itoa(high.Points)) + pointsWord(high.Points)
}

func pointsWord(n int) string {
	if n == 1 {
		return " point"
	}
	return " points"
}

// between writes a range, or the one value both ends have.
func between(low, high string) string {
	if low == high {
		return low
	}
	return low + " to " + high
}

// spanning says from which group to which a score may lie: of two neighbours
// it is the one or the other, and there is nothing between them.
func spanning(groups []Group, low, high string) string {
	if len(groups) == 2 && low != high {
		return low + " or " + high
	}
	return between(low, high)
}

// showPoints fills in the parts of a point score.
func (m Model) showPoints(r *Result, low, high []Level) {
	r.low, r.high = end{points: sum(low)}, end{points: sum(high)}
	groups := m.Groups[m.group(r.low.points) : m.group(r.high.points)+1]
	first, last := groups[0], groups[len(groups)-1]
	r.Lowest, r.Highest = first.Rank, last.Rank
	r.Headline = append(r.Headline, cards.Shown{ID: "group", Label: "Group", Value: spanning(groups, string(first.Rank), string(last.Rank)), Extra: spanning(groups, first.Name, last.Name)})
	m.countRuptures(r, groups)
	score := between(strconv.Itoa(r.low.points), strconv.Itoa(r.high.points))
	r.Headline = append(r.Headline, cards.Shown{ID: "score", Label: "Score", Value: score, Unit: strings.TrimSpace(pointsWord(r.high.points))}, m.yearShown())
	r.Working = endsWorking("points", terms(low, pointsTerm), terms(high, pointsTerm), " + ", "0", strconv.Itoa(r.low.points), strconv.Itoa(r.high.points))
}

// countRuptures shows the shares of the groups, where the source has them.
func (m Model) countRuptures(r *Result, groups []Group) {
	for _, g := range groups {
		if g.Operations == 0 {
			return
		}
		p := big.NewRat(int64(g.Ruptures), int64(g.Operations))
		if r.low.p == nil || p.Cmp(r.low.p) < 0 {
			r.low.p = p
		}
		if r.high.p == nil || p.Cmp(r.high.p) > 0 {
			r.high.p = p
		}
		r.Figures = append(r.Figures, g.Name+": "+strconv.Itoa(g.Ruptures)+" of "+strconv.Itoa(g.Operations)+" operations, "+g.share()+" %; 95 % interval "+g.interval()+" % (Wilson, reckoned here)")
	}
	r.Headline = append(r.Headline, cards.Shown{ID: "estimate", Label: "Estimate", Value: between(hundredths(r.low.p), hundredths(r.high.p)), Unit: "%", Extra: m.Outcome})
}

// hundredths writes a share in percent with two decimals, as the tables print it.
func hundredths(p *big.Rat) string { return decimals(new(big.Rat).Mul(p, hundred), 2) }

// share is the share of ruptures in percent.
func (g Group) share() string { return hundredths(big.NewRat(int64(g.Ruptures), int64(g.Operations))) }

func (g Group) interval() string {
	low, high, _ := cards.Wilson(int64(g.Ruptures), int64(g.Operations))
	return between(percent(low), percent(high))
}

// group finds the last group that begins at or below the points.
func (m Model) group(points int) int {
	found := 0
	for n, g := range m.Groups {
		if points >= g.From {
			found = n
		}
	}
	return found
}

func (m Model) yearShown() cards.Shown {
	return cards.Shown{ID: "year", Label: "Model of", Value: strconv.Itoa(m.Year), Extra: m.Population}
}

// showOdds fills in the parts of the odds-ratio model.
func (m Model) showOdds(r *Result, low, high []Level) {
	r.low, r.high = m.odds(low), m.odds(high)
	r.Lowest, r.Highest = m.rank(r.low.p), m.rank(r.high.p)
	r.Headline = []cards.Shown{
		{ID: "group", Label: "Group", Value: between(string(r.Lowest), string(r.Highest)), Extra: "word of this program, the model has no groups"},
		{ID: "estimate", Label: "Estimate", Value: between(percent(r.low.p), percent(r.high.p)), Unit: "%", Extra: m.Outcome + ", unconfirmed"},
		{ID: "score", Label: "Composite odds ratio", Value: between(decimals(r.low.ratio, 2), decimals(r.high.ratio, 2)), Extra: "unconfirmed"},
		m.yearShown(),
	}
	r.Working = endsWorking("ratio", terms(low, ratioTerm), terms(high, ratioTerm), " × ", "1", decimals(r.low.ratio, 4), decimals(r.high.ratio, 4))
	r.Working = append(r.Working, m.oddsWorking(r.low)...)
	if r.low.ratio.Cmp(r.high.ratio) != 0 {
		r.Working = append(r.Working, m.oddsWorking(r.high)...)
	}
}

func (m Model) odds(levels []Level) end {
	composite := new(big.Rat).Set(one)
	for _, l := range levels {
		composite.Mul(composite, ratio(l.Ratio))
	}
	return end{ratio: composite, p: Probability(share(m.Baseline), composite)}
}

// rank compares an estimate with the average of the series.
func (m Model) rank(p *big.Rat) Rank {
	average := share(m.Average)
	switch {
	case p.Cmp(average) < 0:
		return RankLow
	case p.Cmp(new(big.Rat).Mul(average, big.NewRat(HighTimesAverage, 1))) < 0:
		return RankRaised
	}
	return RankHigh
}

func (m Model) oddsWorking(e end) []string {
	p0 := share(m.Baseline)
	o := new(big.Rat).Mul(odds(p0), e.ratio)
	return []string{
		"odds: " + decimals(p0, 6) + " / (1 - " + decimals(p0, 6) + ") × " + decimals(e.ratio, 4) + " = " + decimals(o, 6),
		"share: odds / (1 + odds) = " + hundredths(e.p) + " %",
	}
}

func sum(levels []Level) int {
	n := 0
	for _, l := range levels {
		n += l.Points
	}
	return n
}

func pointsTerm(l Level) string { return strconv.Itoa(l.Points) }
func ratioTerm(l Level) string  { return l.Ratio.String() }

// terms are the weights that change the result, in the order of the items.
func terms(levels []Level, term func(Level) string) []string {
	var out []string
	for _, l := range levels {
		if l.Points != 0 || (l.Ratio.Stated() && l.Ratio.Cmp(cards.Whole(1)) != 0) {
			out = append(out, term(l))
		}
	}
	return out
}

// endsWorking writes how each end of the range was reckoned, or the one when they agree.
func endsWorking(what string, low, high []string, sign, none, lowResult, highResult string) []string {
	line := func(name string, terms []string, result string) string {
		switch len(terms) {
		case 0:
			return name + ": nothing counts, " + none
		case 1:
			return name + ": " + result
		}
		return name + ": " + strings.Join(terms, sign) + " = " + result
	}
	if slices.Equal(low, high) {
		return []string{line(what, low, lowResult)}
	}
	return []string{line("lowest "+what, low, lowResult), line("highest "+what, high, highResult)}
}
