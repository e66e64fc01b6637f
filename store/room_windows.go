package store

import "golang.org/x/sys/windows"

// roomLeft is how many bytes may still be written on the disk of a folder; known
// is false where the system does not say.
func roomLeft(folder string) (bytes int64, known bool) {
	name, err := windows.UTF16PtrFromString(folder)
	if err != nil {
		return 0, false
	}
	var free uint64
	if err := windows.GetDiskFreeSpaceEx(name, &free, nil, nil); err != nil {
		return 0, false
	}
	return int64(free), true
}
