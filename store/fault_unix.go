//go:build unix

package store

import "syscall"

const errDiskFull = syscall.ENOSPC
