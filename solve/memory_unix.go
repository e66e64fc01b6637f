//go:build unix

package solve

import (
	"syscall"

	"github.com/tetratelabs/wazero/experimental"
)

// reserve gives each guest its own stretch of addresses, as long as it may ever
// need. The system hands out real memory page by page as it is touched, growing
// copies nothing, and all of it goes back at once when the guest closes; left to
// the garbage collector the old copies of a long solve once came to four times
// its memory.
func reserve(_, most uint64) experimental.LinearMemory {
	b, err := syscall.Mmap(-1, 0, int(most), syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_ANON|syscall.MAP_PRIVATE)
	if err != nil {
		return &heap{} // a system that promises no more than it has
	}
	return &reserved{b}
}

type reserved struct{ all []byte }

func (r *reserved) Reallocate(size uint64) []byte {
	if size > uint64(len(r.all)) {
		return nil
	}
	return r.all[:size:len(r.all)]
}

func (r *reserved) Free() {
	syscall.Munmap(r.all)
	r.all = nil
}
