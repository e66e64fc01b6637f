package main

import (
	"os/exec"
	"runtime"
)

// openBrowser shows an address in the person's browser where there is a screen
// to show it on. It is a kindness and never an error: the address is printed
// as well.
func openBrowser(address string, env func(string) string) {
	words := browserCommand(runtime.GOOS, env)
	if words == nil {
		return
	}
	opener := exec.Command(words[0], append(words[1:], address)...)
	if opener.Start() == nil {
		go opener.Wait()
	}
}

// browserCommand is the command that opens an address on a system; nil where a
// window would appear on no screen or on the wrong one.
func browserCommand(system string, env func(string) string) []string {
	for _, remote := range []string{"CI", "SSH_CONNECTION", "SSH_TTY"} {
		if env(remote) != "" {
			return nil
		}
	}
	switch system {
	case "darwin":
		return []string{"open"}
	case "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler"}
	}
	if env("DISPLAY") == "" && env("WAYLAND_DISPLAY") == "" {
		return nil
	}
	return []string{"xdg-open"}
}
