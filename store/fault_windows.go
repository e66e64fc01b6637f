package store

import "golang.org/x/sys/windows"

const errDiskFull = windows.ERROR_DISK_FULL
