package cards

// element is one decision unit of a list with its key and its name. Merge and
// Diff work on elements, so that there is one copy of their code and not one
// for each kind (the browser downloads it).
type element struct {
	key, name string
	value     any
}

func elements[T any](list []T, key, name func(T) string) []element {
	out := make([]element, len(list))
	for i, v := range list {
		out[i] = element{key(v), name(v), v}
	}
	return out
}

func phaseElements(c Card) []element { return elements(c.Phases, phaseKey, phaseLabel) }

func byKey(list []element) map[string]*element {
	m := make(map[string]*element, len(list))
	for i := range list {
		m[list[i].key] = &list[i]
	}
	return m
}

// keysOf lists the keys of all lists, each once, in the order they are met.
func keysOf(lists ...[]element) []string {
	var keys []string
	seen := map[string]bool{}
	for _, list := range lists {
		for _, e := range list {
			if !seen[e.key] {
				seen[e.key] = true
				keys = append(keys, e.key)
			}
		}
	}
	return keys
}
