package measure

import (
	"fmt"
	"math"
	"strings"
)

// Money is an amount in the smallest unit of the holding's currency (cents,
// pence, yen). Sums are exact; only unit prices are decimal.
type Money int64

// Currency is an ISO 4217 code with the number of decimals that its smallest
// unit stands for.
type Currency struct {
	Code     string `json:"code"`
	Exponent int    `json:"exponent"`
}

// Decimals other than two, from ISO 4217 (from memory).
var exponents = map[string]int{
	"BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3,
	"BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0,
	"RWF": 0, "UGX": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
}

// CurrencyOf makes a currency from any three capital letters.
func CurrencyOf(code string) (Currency, error) {
	if len(code) != 3 || strings.Trim(code, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
		return Currency{}, fmt.Errorf("%q is not a currency code; write three capital letters as on a bank statement, for example EUR, USD or AUD", code)
	}
	e, known := exponents[code]
	if !known {
		e = 2
	}
	return Currency{code, e}, nil
}

// Minor rounds a decimal amount to the smallest unit, halves to even.
func (c Currency) Minor(amount float64) Money {
	return Money(math.RoundToEven(amount * math.Pow10(c.Exponent)))
}

// Amount is the decimal value of m.
func (c Currency) Amount(m Money) float64 { return float64(m) / math.Pow10(c.Exponent) }

// Format writes m with its decimals, thin spaces for thousands and the code.
func (c Currency) Format(m Money) string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	unit := Money(math.Pow10(c.Exponent))
	whole := fmt.Sprintf("%d", m/unit)
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "\u202f" + whole[i:]
	}
	if c.Exponent > 0 {
		whole += fmt.Sprintf(".%0*d", c.Exponent, m%unit)
	}
	return sign + whole + " " + c.Code
}

// FormatWhole writes m rounded to the main unit, for totals where cents only
// pretend to precision.
func (c Currency) FormatWhole(m Money) string {
	unit := math.Pow10(c.Exponent)
	d := c
	d.Exponent = 0
	return d.Format(Money(math.RoundToEven(float64(m) / unit)))
}
