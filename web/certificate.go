package web

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// household is the certificate authority of one house: it vouches for this
// computer towards the phones that have been told to trust it, and can vouch for
// nothing outside private networks. Its key never leaves the data folder.
type household struct {
	certificate *x509.Certificate
	key         *ecdsa.PrivateKey

	mu    sync.Mutex
	names string
	leaf  *tls.Certificate
}

const (
	authorityFile = "household-certificate.pem"
	keyFile       = "household-key.pem"
)

// How long certificates hold. Phones refuse those of more than 825 days; ours
// are made anew whenever the program starts, and when a month is left.
const (
	authorityYears = 10
	leafDays       = 180
	renewDays      = 30
)

// privateNetworks are all that the authority may vouch for.
var privateNetworks = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128"}
var privateNames = []string{"local", "lan", "home.arpa", "internal", "localhost"}

// openHousehold reads the authority of a data folder, or makes it.
func openHousehold(folder string, now time.Time) (*household, error) {
	certificatePEM, err1 := os.ReadFile(filepath.Join(folder, authorityFile))
	keyPEM, err2 := os.ReadFile(filepath.Join(folder, keyFile))
	if errors.Is(err1, os.ErrNotExist) || errors.Is(err2, os.ErrNotExist) {
		return newHousehold(folder, now)
	}
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	h, err := parseHousehold(certificatePEM, keyPEM)
	if err != nil {
		return nil, fmt.Errorf("the household's certificate in %s cannot be read; take the files %s and %s away, and install the new certificate on each phone: %w", folder, authorityFile, keyFile, err)
	}
	if now.AddDate(0, 1, 0).After(h.certificate.NotAfter) {
		return newHousehold(folder, now)
	}
	return h, nil
}

func parseHousehold(certificatePEM, keyPEM []byte) (*household, error) {
	c, _ := pem.Decode(certificatePEM)
	k, _ := pem.Decode(keyPEM)
	if c == nil || k == nil {
		return nil, errors.New("the files are not PEM")
	}
	certificate, err := x509.ParseCertificate(c.Bytes)
	if err != nil {
		return nil, err
	}
	key, err := x509.ParseECPrivateKey(k.Bytes)
	if err != nil {
		return nil, err
	}
	if !key.PublicKey.Equal(certificate.PublicKey) {
		return nil, errors.New("key and certificate do not belong together")
	}
	return &household{certificate: certificate, key: key}, nil
}

func newHousehold(folder string, now time.Time) (*household, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	var networks []*net.IPNet
	for _, text := range privateNetworks {
		_, network, err := net.ParseCIDR(text)
		if err != nil {
			return nil, err
		}
		networks = append(networks, network)
	}
	template := &x509.Certificate{
		SerialNumber: serial(), Subject: pkix.Name{CommonName: "Henyear in this household", Organization: []string{"Henyear"}},
		NotBefore: now.Add(-24 * time.Hour), NotAfter: now.AddDate(authorityYears, 0, 0),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true, KeyUsage: x509.KeyUsageCertSign,
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: privateNames, PermittedIPRanges: networks,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		return nil, err
	}
	keyDER, err := x509.MarshalECPrivateKey(key)
	if err != nil {
		return nil, err
	}
	if err := writeSecret(filepath.Join(folder, keyFile), pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: keyDER})); err != nil {
		return nil, err
	}
	if err := writeSecret(filepath.Join(folder, authorityFile), pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})); err != nil {
		return nil, err
	}
	certificate, err := x509.ParseCertificate(der)
	return &household{certificate: certificate, key: key}, err
}

func serial() *big.Int {
	n, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		panic(err) // the system's source never fails
	}
	return n
}

// fingerprint is the SHA-256 of the authority in groups of four digits, to hold
// against what the phone shows.
func (h *household) fingerprint() string {
	digits := fmt.Sprintf("%X", sha256.Sum256(h.certificate.Raw))
	var groups []string
	for len(digits) > 0 {
		groups, digits = append(groups, digits[:4]), digits[4:]
	}
	return strings.Join(groups, " ")
}

// certificateFor gives the certificate of this computer under the given names,
// made anew when it nears its end.
func (h *household) certificateFor(names []string, now time.Time) (*tls.Certificate, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.leaf != nil && h.names == strings.Join(names, " ") && now.AddDate(0, 0, renewDays).Before(h.leaf.Leaf.NotAfter) {
		return h.leaf, nil
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	template := &x509.Certificate{
		SerialNumber: serial(), Subject: pkix.Name{CommonName: "Henyear"},
		NotBefore: now.Add(-24 * time.Hour), NotAfter: now.AddDate(0, 0, leafDays),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	for _, name := range names {
		if ip := net.ParseIP(name); ip != nil {
			template.IPAddresses = append(template.IPAddresses, ip)
		} else {
			template.DNSNames = append(template.DNSNames, name)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, template, h.certificate, &key.PublicKey, h.key)
	if err != nil {
		return nil, err
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	h.names, h.leaf = strings.Join(names, " "), &tls.Certificate{Certificate: [][]byte{der, h.certificate.Raw}, PrivateKey: key, Leaf: leaf}
	return h.leaf, nil
}
