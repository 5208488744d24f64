package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
)

// typedConstants reads the values of constants such as `Open State = "open"`
// out of Go sources, by type name, in the order they are written. Reflection
// does not see constants; the alternative would be to list them a second time.
func typedConstants(folders ...string) (map[string][]string, error) {
	found := map[string][]string{}
	for _, folder := range folders {
		paths, err := filepath.Glob(filepath.Join(folder, "*.go"))
		if err != nil {
			return nil, fmt.Errorf("list %s: %w", folder, err)
		}
		if len(paths) == 0 {
			return nil, fmt.Errorf("no Go files in %s", folder)
		}
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
			if err != nil {
				return nil, fmt.Errorf("read constants: %w", err)
			}
			collectConstants(file, found)
		}
	}
	return found, nil
}

func collectConstants(file *ast.File, found map[string][]string) {
	for _, d := range file.Decls {
		group, ok := d.(*ast.GenDecl)
		if !ok || group.Tok != token.CONST {
			continue
		}
		for _, s := range group.Specs {
			spec := s.(*ast.ValueSpec) // a const group holds nothing else
			name, ok := spec.Type.(*ast.Ident)
			if !ok {
				continue
			}
			for _, v := range spec.Values {
				if lit, ok := v.(*ast.BasicLit); ok && lit.Kind == token.STRING {
					if text, err := strconv.Unquote(lit.Value); err == nil {
						found[name.Name] = append(found[name.Name], text)
					}
				}
			}
		}
	}
}
