package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// vendored says where each bare import lives. The TypeScript side of the same table is in app/tsconfig.json.
var vendored = map[string]string{
	"preact":               "./vendor/preact/dist/preact.module.js",
	"preact/hooks":         "./vendor/preact/hooks/dist/hooks.module.js",
	"preact/jsx-runtime":   "./vendor/preact/jsx-runtime/dist/jsxRuntime.module.js",
	"@preact/signals":      "./vendor/signals/dist/signals.module.js",
	"@preact/signals-core": "./vendor/signals-core/dist/signals-core.module.js",
	"idb":                  "./vendor/idb/build/index.js",
	"qr":                   "./vendor/qr/index.js",
}

// output is one bundled file by its address.
type output struct {
	path    string
	content []byte
	imports []string // the scripts it cannot begin without
	entry   string   // the source it is the bundle of, where it is one that is imported when needed
}

// common are the options of everything that runs in a browser.
func common(web string) api.BuildOptions {
	return api.BuildOptions{
		AbsWorkingDir:     web,
		Bundle:            true,
		Target:            api.ES2022,
		MinifyIdentifiers: true,
		MinifySyntax:      true,
		MinifyWhitespace:  true,
		LegalComments:     api.LegalCommentsNone, // the licences are served whole, see addLicences
		Charset:           api.CharsetUTF8,
		LogLevel:          api.LogLevelSilent, // messages are returned as errors
		Outdir:            "dist",
		Alias:             vendored,
		// The page's settings; without them every worker would look for a tsconfig of its own.
		TsconfigRaw: `{"compilerOptions":{"jsx":"react-jsx","jsxImportSource":"preact"}}`,
	}
}

// bundlePage bundles the page: its scripts, its styles and the files they name.
// Scripts are split: a screen that is imported when it is needed is a file of
// its own, so that a card opens without reading the editors first. Styles are
// one file, because the order of their rules must not hang on which screen came first.
func bundlePage(web, coreWorker string) ([]output, error) {
	scripts := pageOptions(web, coreWorker)
	scripts.Splitting = true
	scripts.ChunkNames = "assets/[name]-[hash]"
	scripts.Loader[".css"] = api.LoaderEmpty
	scripts.Metafile = true
	out, err := bundle(scripts)
	if err != nil {
		return nil, err
	}
	whole, err := bundle(pageOptions(web, coreWorker))
	if err != nil {
		return nil, err
	}
	for _, f := range whole {
		known := slices.ContainsFunc(out, func(o output) bool { return o.path == f.path })
		if !known && filepath.Ext(f.path) != ".js" {
			out = append(out, f)
		}
	}
	return out, nil
}

func pageOptions(web, coreWorker string) api.BuildOptions {
	o := common(web)
	o.EntryPoints = []string{"app/main.tsx"}
	o.Format = api.FormatESModule
	o.EntryNames = "assets/[name]-[hash]"
	o.AssetNames = "assets/[name]-[hash]"
	o.PublicPath = "/"
	o.Loader = map[string]api.Loader{".woff2": api.LoaderFile, ".svg": api.LoaderFile}
	o.Define = map[string]string{"CORE_WORKER_URL": quote(coreWorker)}
	o.Supported = map[string]bool{"nesting": false} // WebKit prints without the rules that are nested in others
	return o
}

// bundleCoreWorker bundles the core's worker together with the glue of the toolchain that compiles the core: they only work as a pair.
func bundleCoreWorker(web, wasm string) ([]byte, error) {
	glue, err := wasmGlue(web)
	if err != nil {
		return nil, err
	}
	o := common(web)
	o.EntryPoints = []string{"app/core/worker.ts"}
	o.Format = api.FormatIIFE
	o.Define = map[string]string{"CORE_WASM_URL": quote(wasm)}
	o.Plugins = []api.Plugin{provide("wasm_exec", glue)}
	return single(bundle(o))
}

// bundleServiceWorker bundles the service worker with the list of what it keeps.
func bundleServiceWorker(web, build string, shell, rest []precached) ([]byte, error) {
	define := map[string]string{"BUILD": quote(build)}
	for name, list := range map[string][]precached{"SHELL": shell, "REST": rest} {
		b, err := json.Marshal(list)
		if err != nil {
			return nil, fmt.Errorf("write the list of cached files: %w", err)
		}
		define[name] = string(b)
	}
	o := common(web)
	o.EntryPoints = []string{"worker/sw.ts"}
	o.Format = api.FormatIIFE
	o.Define = define
	return single(bundle(o))
}

// bundleUnit bundles the client's unit tests for Node, one file each.
func bundleUnit(web, folder string) error {
	tests, err := filepath.Glob(filepath.Join(web, "unit", "*.test.ts"))
	if err != nil {
		return fmt.Errorf("list the unit tests: %w", err)
	}
	if len(tests) == 0 {
		return fmt.Errorf("there is no unit test in %s", filepath.Join(web, "unit"))
	}
	target, err := filepath.Abs(folder)
	if err != nil {
		return fmt.Errorf("find the folder for the unit tests: %w", err)
	}
	o := common(web)
	o.EntryPoints = tests
	o.Platform = api.PlatformNode
	o.Format = api.FormatESModule
	o.MinifyIdentifiers, o.MinifySyntax, o.MinifyWhitespace = false, false, false
	o.Outdir = target
	o.OutExtension = map[string]string{".js": ".mjs"}
	o.Write = true
	_, err = bundle(o)
	return err
}

// provide answers the import of one name with the given script. Its path on this machine must not reach the output.
func provide(name, script string) api.Plugin {
	return api.Plugin{Name: name, Setup: func(b api.PluginBuild) {
		b.OnResolve(api.OnResolveOptions{Filter: "^" + name + "$"}, func(api.OnResolveArgs) (api.OnResolveResult, error) {
			return api.OnResolveResult{Path: name, Namespace: "provided"}, nil
		})
		b.OnLoad(api.OnLoadOptions{Filter: ".*", Namespace: "provided"}, func(api.OnLoadArgs) (api.OnLoadResult, error) {
			return api.OnLoadResult{Contents: &script, Loader: api.LoaderJS}, nil
		})
	}}
}

func bundle(o api.BuildOptions) ([]output, error) {
	result := api.Build(o)
	if messages := append(result.Errors, result.Warnings...); len(messages) > 0 {
		return nil, errors.New(strings.Join(api.FormatMessages(messages, api.FormatMessagesOptions{}), ""))
	}
	dist := filepath.Join(o.AbsWorkingDir, "dist") + string(os.PathSeparator)
	parts, err := readParts(result.Metafile)
	if err != nil {
		return nil, err
	}
	var out []output
	for _, f := range result.OutputFiles {
		path := "/" + filepath.ToSlash(strings.TrimPrefix(f.Path, dist))
		out = append(out, output{path: path, content: f.Contents, imports: parts[path].imports, entry: parts[path].entry})
	}
	return out, nil
}

// readParts reads which scripts each script cannot begin without, and of which source it is. Without a list of parts there are none.
func readParts(metafile string) (map[string]output, error) {
	if metafile == "" {
		return nil, nil
	}
	var meta struct {
		Outputs map[string]struct {
			Imports    []struct{ Path, Kind string }
			EntryPoint string
		}
	}
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return nil, fmt.Errorf("read the bundler's list of parts: %w", err)
	}
	out := map[string]output{}
	for name, o := range meta.Outputs {
		f := output{entry: o.EntryPoint}
		for _, i := range o.Imports {
			if i.Kind == "import-statement" {
				f.imports = append(f.imports, address(i.Path))
			}
		}
		out[address(name)] = f
	}
	return out, nil
}

// address is where a file of the bundler's list is served.
func address(name string) string { return "/" + strings.TrimPrefix(name, "dist/") }

func single(files []output, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	if len(files) != 1 {
		return nil, fmt.Errorf("a worker must be one file, and became %d", len(files))
	}
	return files[0].content, nil
}
