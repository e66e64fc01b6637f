//go:build linux || darwin || freebsd

package store

import "golang.org/x/sys/unix"

// roomLeft is how many bytes may still be written on the disk of a folder; known
// is false where the system does not say.
func roomLeft(folder string) (bytes int64, known bool) {
	var disk unix.Statfs_t
	if err := unix.Statfs(folder, &disk); err != nil {
		return 0, false
	}
	return int64(disk.Bavail) * int64(disk.Bsize), true
}
