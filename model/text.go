package model

import (
	"fmt"
	"net/netip"
	"time"

	"github.com/guardwright/guardwright/model/source"
)

// Expression is a CEL expression in a description; it knows its place in the file.
type Expression = source.Expression

// IngressCode is a degree of protection of IEC 60529, such as IP67 or IP69; empty when not stated.
type IngressCode string

// ParseIngressCode reads a degree of protection: IP and two digits, the first 0 to 6 (solids), the second 0 to 9
// (water).
func ParseIngressCode(text string) (IngressCode, error) {
	if len(text) != 4 || text[:2] != "IP" || text[2] < '0' || text[2] > '6' || text[3] < '0' || text[3] > '9' {
		return "", fmt.Errorf("found %q, wanted a degree of protection of IEC 60529 such as IP54, IP67 or IP69", text)
	}
	return IngressCode(text), nil
}

// UnmarshalText reads a degree of protection.
func (c *IngressCode) UnmarshalText(text []byte) error {
	code, err := ParseIngressCode(string(text))
	if err == nil {
		*c = code
	}
	return err
}

// Solids returns the first numeral: protection against solid objects, 0 to 6; -1 when not stated.
func (c IngressCode) Solids() int { return c.numeral(2) }

// Water returns the second numeral: protection against water, 0 to 9; -1 when not stated.
func (c IngressCode) Water() int { return c.numeral(3) }

func (c IngressCode) numeral(i int) int {
	if _, err := ParseIngressCode(string(c)); err != nil {
		return -1
	}
	return int(c[i] - '0')
}

// Date is a day of the calendar, written as 2031-12-31. The zero value is no date.
type Date struct{ Year, Month, Day int }

// UnmarshalText reads a date.
func (d *Date) UnmarshalText(text []byte) error {
	t, err := time.Parse(time.DateOnly, string(text))
	if err != nil || t.Year() < 1900 {
		return fmt.Errorf("found %q, wanted a date as year-month-day, such as 2031-12-31", text)
	}
	*d = Date{t.Year(), int(t.Month()), t.Day()}
	return nil
}

// MarshalText writes a date.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// String writes a date as year-month-day.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// Before tells whether d is an earlier day than e.
func (d Date) Before(e Date) bool {
	if d.Year != e.Year {
		return d.Year < e.Year
	}
	if d.Month != e.Month {
		return d.Month < e.Month
	}
	return d.Day < e.Day
}

// IPAddress is an IPv4 address.
type IPAddress struct{ netip.Addr }

// UnmarshalText reads an IPv4 address such as 10.8.3.21.
func (a *IPAddress) UnmarshalText(text []byte) error {
	addr, err := netip.ParseAddr(string(text))
	if err != nil || !addr.Is4() {
		return fmt.Errorf("found %q, wanted an IPv4 address such as 10.8.3.21", text)
	}
	a.Addr = addr
	return nil
}

// IPPrefix is an IPv4 subnet.
type IPPrefix struct{ netip.Prefix }

// UnmarshalText reads an IPv4 subnet such as 10.8.3.0/24.
func (p *IPPrefix) UnmarshalText(text []byte) error {
	prefix, err := netip.ParsePrefix(string(text))
	switch {
	case err != nil || !prefix.Addr().Is4():
		return fmt.Errorf("found %q, wanted an IPv4 subnet such as 10.8.3.0/24", text)
	case prefix != prefix.Masked():
		return fmt.Errorf("found %q, which is a host in a subnet; the subnet itself is %s", text, prefix.Masked())
	}
	p.Prefix = prefix
	return nil
}
