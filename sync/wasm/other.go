//go:build !js

// Command wasm is built for the phone only.
package main

func main() { println("the core for the phone: build it with GOOS=js GOARCH=wasm") }
