package main

import (
	"context"
	"fmt"
	"runtime/debug"
)

// runVersion prints the version the program was built from.
func runVersion(_ context.Context, sh surroundings, _ []string) error {
	_, err := fmt.Fprintln(sh.out, "headtally", version())
	return err
}

func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(built from a working copy)"
	}
	return info.Main.Version
}
