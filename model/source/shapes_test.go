package source_test

import (
	"errors"
	"net/netip"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// The types of this file have every shape that the decoder knows, in the
// manner of a machine file.

type plant struct {
	Machine string             `yaml:"machine" jsonschema:"required"`
	Version int                `yaml:"version"`
	Modules map[string]module  `yaml:"modules"`
	Devices map[string]*device `yaml:"devices"`
	Notes   []string           `yaml:"notes"`
	Rules   []rule             `yaml:"rules"`
	Levels  map[level]int      `yaml:"levels"`
	Any     *bool              `yaml:"any"`
	Nested  [][]int            `yaml:"nested"`
	Tree    *branch            `yaml:"tree"`
	Small   int8               `yaml:"small"`
	Count   uint16             `yaml:"count"`
	Hidden  string             `yaml:"-"`
}

type module struct {
	about   `yaml:",inline"`
	Type    string          `yaml:"type" jsonschema:"required"`
	Address netip.Addr      `yaml:"address"`
	Ports   map[string]port `yaml:"ports"`
}

type about struct {
	About string `yaml:"about"`
}

type port struct {
	Device string `yaml:"device" jsonschema:"required"`
	Cable  *cable `yaml:"cable"`
	Set    string `yaml:"set"`
	Active bool   `yaml:"active"`
}

type cable struct {
	Length length  `yaml:"length" jsonschema:"required"`
	Spare  *length `yaml:"spare"`
	Net    netip.Prefix
}

type device struct {
	about
	Kind kind `yaml:"kind" jsonschema:"required"`
}

type rule struct {
	Require source.Expression `yaml:"require" jsonschema:"required"`
	Say     source.Expression `yaml:"say"`
}

type branch struct {
	Left  *branch `yaml:"left"`
	Right *branch `yaml:"right"`
	Name  string  `yaml:"name"`
}

// kind is an enumeration.
type kind string

func (kind) Values() []string { return []string{"estop", "guard_switch", "light_curtain"} }

type level string

func (level) Values() []string { return []string{"low", "high"} }

// length is a quantity: a text that the type itself reads.
type length string

func (l *length) UnmarshalText(text []byte) error {
	if !strings.HasSuffix(string(text), " m") {
		return errors.New("wanted a length with its unit, such as 6 m, found " + string(text))
	}
	*l = length(text)
	return nil
}
