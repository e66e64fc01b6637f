package main

import "testing"

func TestBrowserOpensOnlyWhereSomeoneSeesIt(t *testing.T) {
	cases := []struct {
		name, system string
		env          map[string]string
		opens        string
	}{
		{"Linux with a screen", "linux", map[string]string{"DISPLAY": ":0"}, "xdg-open"},
		{"Linux with a Wayland screen", "linux", map[string]string{"WAYLAND_DISPLAY": "wayland-0"}, "xdg-open"},
		{"Linux without a screen", "linux", nil, ""},
		{"over a remote shell", "linux", map[string]string{"DISPLAY": "localhost:10.0", "SSH_CONNECTION": "x"}, ""},
		{"continuous integration", "linux", map[string]string{"DISPLAY": ":0", "CI": "true"}, ""},
		{"a Mac", "darwin", nil, "open"},
		{"a Mac over a remote shell", "darwin", map[string]string{"SSH_TTY": "/dev/ttys1"}, ""},
		{"Windows", "windows", nil, "rundll32"},
	}
	for _, c := range cases {
		got := ""
		if words := browserCommand(c.system, func(name string) string { return c.env[name] }); words != nil {
			got = words[0]
		}
		if got != c.opens {
			t.Errorf("%s: %q, want %q", c.name, got, c.opens)
		}
	}
}
