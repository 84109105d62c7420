package model

import (
	"fmt"
	"net/netip"
	"strings"
	"time"

	"github.com/guardwright/guardwright/model/source"
)

// Expression is a CEL expression in a description; it knows its place in the file.
type Expression = source.Expression

// IngressCode is a degree of protection of IEC 60529, such as IP67, or several that hold together, such as IP65/IP67;
// empty when not stated.
type IngressCode string

// ParseIngressCode reads a degree of protection: IP and two digits, the first 0 to 6 (solids), the second 0 to 9
// (water); several are joined by a slash.
func ParseIngressCode(text string) (IngressCode, error) {
	for one := range strings.SplitSeq(text, "/") {
		if len(one) != 4 || one[:2] != "IP" || one[2] < '0' || one[2] > '6' || one[3] < '0' || one[3] > '9' {
			return "", fmt.Errorf("found %q, wanted a degree of protection of IEC 60529 such as IP54, IP67 or IP65/IP67", text)
		}
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

// Covers tells whether c includes every degree of protection of another code. By IEC 60529:1989+A2:2013, clause 6 (from
// memory), the numerals for water up to 6 include the lower ones; 7 and 8 (immersion) include neither jets (5, 6) nor
// 9, and 9 (high-pressure jets) includes nothing else: parts that stand both bear both codes. An empty code covers
// nothing, and an empty requirement is covered by every code.
func (c IngressCode) Covers(required IngressCode) bool {
	if required == "" {
		return true
	}
	for want := range strings.SplitSeq(string(required), "/") {
		met := false
		for have := range strings.SplitSeq(string(c), "/") {
			met = met || len(have) == 4 && len(want) == 4 && have[2] >= want[2] && waterCovers(have[3], want[3])
		}
		if !met {
			return false
		}
	}
	return true
}

func waterCovers(have, want byte) bool {
	switch {
	case have <= '6':
		return want <= have
	case have <= '8':
		return want == '7' || want == have || want <= '4'
	}
	return want == '9'
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
