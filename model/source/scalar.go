package source

import (
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// scalar decodes a text as it is written. What the YAML library takes it for
// (010 for eight, a date for a time) has no part in it.
func (d *decoder) scalar(id int32, p *plan, v reflect.Value) bool {
	n := &d.file.nodes[id]
	at := d.file.position(id)
	var err error
	switch p.shape {
	case anyText:
		v.SetString(n.text)
	case expression:
		v.Set(reflect.ValueOf(Expression{n.text, d.placesOf(id)}))
	case word:
		if !d.checkWord(at, n.text, p.values) {
			return false
		}
		v.SetString(n.text)
	case truth:
		err = setTruth(n, v)
	case number, unsigned:
		err = setNumber(n, p, v)
	case parsed:
		err = v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(n.text))
		if err != nil {
			v.SetZero() // whatever it left behind is no value
		}
	}
	if err != nil {
		d.report(at, "%s", err)
	}
	return err == nil
}

func setTruth(n *node, v reflect.Value) error {
	switch {
	case n.style != plain:
		return fmt.Errorf("wanted true or false without quotes, found the text %s", quote(n.text))
	case n.text == "true", n.text == "false":
		v.SetBool(n.text == "true")
		return nil
	}
	switch strings.ToLower(n.text) {
	case "yes", "on", "y", "true", "1":
		return fmt.Errorf("wanted true or false, found %s: write true", quote(n.text))
	case "no", "off", "n", "false", "0":
		return fmt.Errorf("wanted true or false, found %s: write false", quote(n.text))
	}
	return fmt.Errorf("wanted true or false, found %s", quote(n.text))
}

// setNumber takes plain decimal digits only: 010 is eight to some YAML parsers
// and ten to others.
func setNumber(n *node, p *plan, v reflect.Value) error {
	digits := strings.TrimPrefix(n.text, "-")
	switch {
	case n.style != plain:
		return fmt.Errorf("wanted a whole number without quotes, found the text %s", quote(n.text))
	case digits == "" || strings.Trim(digits, "0123456789") != "":
		return fmt.Errorf("wanted a whole number in decimal digits, found %s", quote(n.text))
	case digits[0] == '0' && n.text != "0":
		return fmt.Errorf("wanted a whole number without a zero in front, found %s", quote(n.text))
	}
	bits := p.typ.Bits()
	var err error
	if p.shape == number {
		var i int64
		if i, err = strconv.ParseInt(n.text, 10, bits); err == nil {
			v.SetInt(i)
		}
	} else {
		var u uint64
		if u, err = strconv.ParseUint(n.text, 10, bits); err == nil {
			v.SetUint(u)
		}
	}
	if err == nil {
		return nil
	}
	return errors.New(outOfRange(n.text, bits, p.shape == number))
}

func outOfRange(text string, bits int, signed bool) string {
	low, high := "0", strconv.FormatUint(1<<(bits-1)-1+1<<(bits-1), 10)
	if signed {
		low, high = strconv.FormatInt(-1<<(bits-1), 10), strconv.FormatInt(1<<(bits-1)-1, 10)
	}
	return fmt.Sprintf("wanted a whole number from %s to %s, found %s", low, high, quote(text))
}
