//go:build !unix

package solve

import "github.com/tetratelabs/wazero/experimental"

func reserve(_, _ uint64) experimental.LinearMemory { return &heap{} }
