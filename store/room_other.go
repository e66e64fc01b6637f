//go:build !linux && !darwin && !freebsd && !windows

package store

// roomLeft is not known here.
func roomLeft(string) (bytes int64, known bool) { return 0, false }
