// Package axe holds axe-core, the checker of the accessibility rules that the
// journeys run inside a page. It is a tool of the tests and ships with nothing.
//
// axe-core 4.14.1, package "axe-core", Mozilla Public License 2.0 (LICENSE; what
// it carries inside is in LICENSE-3RD-PARTY.txt). The source form is at
// https://github.com/dequelabs/axe-core under the tag v4.14.1. The file is
// unchanged; axe_test.go holds its hash.
package axe

import _ "embed"

// Script is to be evaluated by the debugger: the content policy of the page lets nothing else in.
//
//go:embed axe.min.js
var Script string
