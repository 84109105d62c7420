package record

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Time is a moment of a record in nanoseconds: since its own zero, or since 1970 where the record has time stamps.
type Time int64

// clock reads and prints the times of a record.
type clock struct {
	unit  TimeUnit
	comma bool // a comma may stand for the decimal point
	zone  *time.Location
}

// decimals are the powers of ten of a unit in nanoseconds.
func decimals(u TimeUnit) int {
	switch u {
	case Seconds:
		return 9
	case Milliseconds:
		return 6
	case Microseconds:
		return 3
	}
	return 0
}

// read reads a time. What is finer than a nanosecond is rounded to the nearest one.
func (c *clock) read(text string) (Time, error) {
	if c.unit == Timestamp {
		return c.readStamp(text)
	}
	t, ok := readDecimal(text, decimals(c.unit), c.comma)
	if !ok {
		return 0, fmt.Errorf("found %s, wanted a time in %s, such as 12.5", quoted(text), c.unit)
	}
	return t, nil
}

func (c *clock) readStamp(text string) (Time, error) {
	stamp := text
	if len(text) > 10 && text[10] == ' ' { // RFC 3339, 5.6: a blank may stand for the T
		stamp = text[:10] + "T" + text[11:]
	}
	at, err := time.Parse(time.RFC3339Nano, stamp)
	if err != nil {
		return 0, fmt.Errorf("found %s, wanted a time stamp with its zone (RFC 3339), such as 2030-01-15T08:30:00.010Z or 2030-01-15T08:30:00.010+01:00", quoted(text))
	}
	if y := at.Year(); y < 1700 || y > 2200 {
		return 0, fmt.Errorf("found the year %d, wanted 1700 to 2200", y)
	}
	if c.zone == nil {
		c.zone = at.Location()
	}
	return Time(at.UnixNano()), nil
}

// readDecimal reads a decimal number times ten to the power of shift; digits beyond that are rounded to the nearest.
func readDecimal(text string, shift int, comma bool) (Time, bool) {
	sign, rest := int64(1), text
	if len(rest) > 0 && (rest[0] == '-' || rest[0] == '+') {
		if rest[0] == '-' {
			sign = -1
		}
		rest = rest[1:]
	}
	if at := strings.IndexAny(rest, "eE"); at >= 0 {
		exp, err := strconv.Atoi(rest[at+1:])
		if err != nil || exp < -40 || exp > 40 {
			return 0, false
		}
		rest, shift = rest[:at], shift+exp
	}
	whole, fraction, point := rest, "", strings.IndexByte(rest, '.')
	if point < 0 && comma {
		point = strings.IndexByte(rest, ',')
	}
	if point >= 0 {
		whole, fraction = rest[:point], rest[point+1:]
	}
	if len(whole)+len(fraction) == 0 {
		return 0, false
	}
	// The digits in front of the place at which the nanoseconds end count, and the one after them rounds.
	count := len(whole) + shift
	var n int64
	for i := range max(count, len(whole)+len(fraction)) {
		digit := byte('0')
		switch {
		case i < len(whole):
			digit = whole[i]
		case i < len(whole)+len(fraction):
			digit = fraction[i-len(whole)]
		}
		switch {
		case digit < '0' || digit > '9' || i < count && n > (1<<61)/10:
			return 0, false
		case i < count:
			n = n*10 + int64(digit-'0')
		case i == count && digit >= '5':
			n++
		}
	}
	return Time(sign * n), true
}

// text prints a time as a person reads it: in seconds, or as a time stamp in the zone of the first one.
func (c *clock) text(t Time) string {
	if c.unit == Timestamp {
		zone := c.zone
		if zone == nil {
			zone = time.UTC
		}
		return time.Unix(0, int64(t)).In(zone).Format(time.RFC3339Nano)
	}
	sign, n := "", int64(t)
	if n < 0 {
		sign, n = "-", -n
	}
	text := fmt.Sprintf("%s%d.%09d", sign, n/1e9, n%1e9)
	text = strings.TrimRight(text, "0")
	return strings.TrimSuffix(text, ".") + " s"
}
