package solve

// heap is a guest's memory in the ordinary memory of the program.
type heap struct{ all []byte }

func (h *heap) Reallocate(size uint64) []byte {
	if size > uint64(cap(h.all)) {
		larger := make([]byte, size)
		copy(larger, h.all)
		h.all = larger
	}
	h.all = h.all[:size]
	return h.all
}

func (h *heap) Free() { h.all = nil }
