package web

import (
	"compress/gzip"
	"net/http"
	"strings"
)

// squeeze packs pages, tables and drawings for the way over the air: a plan of
// three years is a long page of figures, and packs to a tenth.
func squeeze(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/progress" || !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			next.ServeHTTP(w, r)
			return
		}
		w.Header().Add("Vary", "Accept-Encoding")
		packed := &packer{ResponseWriter: w}
		defer packed.close()
		next.ServeHTTP(packed, r)
	})
}

type packer struct {
	http.ResponseWriter
	zip     *gzip.Writer
	decided bool
}

func (p *packer) WriteHeader(code int) {
	if !p.decided {
		p.decided = true
		if code != http.StatusNoContent && code != http.StatusNotModified && code/100 != 3 {
			p.Header().Del("Content-Length")
			p.Header().Set("Content-Encoding", "gzip")
			p.zip = gzip.NewWriter(p.ResponseWriter)
		}
	}
	p.ResponseWriter.WriteHeader(code)
}

func (p *packer) Write(b []byte) (int, error) {
	if !p.decided {
		p.WriteHeader(http.StatusOK)
	}
	if p.zip == nil {
		return p.ResponseWriter.Write(b)
	}
	return p.zip.Write(b)
}

func (p *packer) close() {
	if p.zip != nil {
		p.zip.Close()
	}
}
