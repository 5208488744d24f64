//go:build js && wasm

package main

import "syscall/js"

// main gives the worker the one function it calls and stays. The function
// must never block: a blocked callback stops the whole program.
func main() {
	js.Global().Set("sideportCall", js.FuncOf(func(_ js.Value, args []js.Value) any {
		in := make([]byte, args[1].Get("length").Int())
		js.CopyBytesToGo(in, args[1])
		out := Call(args[0].String(), in)
		array := js.Global().Get("Uint8Array").New(len(out))
		js.CopyBytesToJS(array, out)
		return array
	}))
	select {}
}
