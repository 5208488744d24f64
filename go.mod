module sideport

go 1.26.0

ignore ./web/node_modules

require (
	github.com/andybalholm/brotli v1.2.8
	github.com/anishathalye/porcupine v1.3.1
	github.com/chromedp/cdproto v0.159.0
	github.com/chromedp/chromedp v0.23.0
	github.com/evanw/esbuild v0.28.2
	github.com/gofiber/fiber/v2 v2.52.15
	github.com/hanwen/go-fuse/v2 v2.12.1
	github.com/makiuchi-d/gozxing v0.1.1
	github.com/rogpeppe/go-internal v1.16.0
	github.com/yuin/goldmark v1.8.7
	go.etcd.io/bbolt v1.5.0
	golang.org/x/tools v0.52.0
	pgregory.net/rapid v1.3.0
)

require (
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/klauspost/compress v1.20.3 // indirect
	github.com/mattn/go-colorable v0.1.13 // indirect
	github.com/mattn/go-isatty v0.0.20 // indirect
	github.com/mattn/go-runewidth v0.0.16 // indirect
	github.com/molecule-man/go-brrr v1.3.1 // indirect
	github.com/rivo/uniseg v0.2.0 // indirect
	github.com/valyala/bytebufferpool v1.0.0 // indirect
	github.com/valyala/fasthttp v1.78.0 // indirect
	golang.org/x/sys v0.49.0 // indirect
	golang.org/x/text v0.43.0 // indirect
	golang.org/x/xerrors v0.0.0-20200804184101-5ec99f83aff1 // indirect
)
