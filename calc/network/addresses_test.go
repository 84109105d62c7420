package network_test

import (
	"context"
	"fmt"
	"net/netip"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// TestAddresses reads the files of testdata/network/addresses_*.yaml: each problem must be wanted on the line of what it is
// at, and each wanted one must come.
func TestAddresses(t *testing.T) {
	for _, name := range []string{"addresses_cip.yaml", "addresses_profisafe.yaml", "addresses_fsoe.yaml"} {
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile("../../testdata/network/" + name)
			require.NoError(t, err)
			wanted := map[string]bool{}
			for i, line := range strings.Split(string(text), "\n") {
				if _, comment, ok := strings.Cut(line, "# want "); ok {
					for _, fault := range strings.Fields(comment) {
						wanted[fmt.Sprintf("%d %s", i+1, fault)] = true
					}
				}
			}
			require.NotEmpty(t, wanted)
			for _, p := range load(t, name).Addresses.Problems {
				key := fmt.Sprintf("%d %s", p.At.Position.Line, p.Fault)
				assert.True(t, wanted[key], "not wanted: %s: %s", key, p.Text)
				assert.NotEmpty(t, p.Text)
				delete(wanted, key)
			}
			assert.Empty(t, wanted, "wanted and missing")
		})
	}
}

// TestRoom: a subnet of 28 bit holds 14 hosts (RFC 950, RFC 1122: all but the first and last address), one of 24 bit 254.
func TestRoom(t *testing.T) {
	for _, x := range []struct {
		subnet string
		want   int
	}{{"10.0.0.0/24", 254}, {"10.0.0.0/28", 14}, {"10.0.0.0/30", 2}, {"10.0.0.0/31", 2}, {"10.0.0.0/32", 1}} {
		p := newPlant(model.CIPSafety, 0, 20)
		p.Network.Subnet = &model.IPPrefix{Prefix: netip.MustParsePrefix(x.subnet)}
		hosts := p.compute(t, network.Options{}).Addresses.Hosts
		assert.Equal(t, x.want, hosts.Limit, x.subnet)
		assert.Equal(t, 21, hosts.Value)
		assert.Equal(t, x.want >= 21, hosts.OK())
	}
}

// TestPrivateRanges: the ranges of RFC 1918, first and last address of each and their neighbours.
func TestPrivateRanges(t *testing.T) {
	for subnet, private := range map[string]bool{
		"10.0.0.0/30": true, "10.255.255.252/30": true, "9.255.255.252/30": false, "11.0.0.0/30": false,
		"172.16.0.0/30": true, "172.31.255.252/30": true, "172.15.255.252/30": false, "172.32.0.0/30": false,
		"192.168.0.0/30": true, "192.168.255.252/30": true, "192.167.255.252/30": false, "192.169.0.0/30": false,
	} {
		p := newPlant(model.CIPSafety, 0, 0)
		p.Network.Subnet = &model.IPPrefix{Prefix: netip.MustParsePrefix(subnet)}
		found := false
		for _, x := range p.compute(t, network.Options{}).Addresses.Problems {
			if x.Fault == network.NotPrivate {
				found = true
				assert.True(t, x.Advice)
			}
		}
		assert.Equal(t, !private, found, subnet)
	}
}

// TestPlanFillsGaps: with the plan filled in, a network that had only gaps has no problems, and planned again it has none.
func TestPlanFillsGaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		protocol := rapid.SampledFrom([]model.Protocol{model.CIPSafety, model.PROFIsafe, model.SafetyOverEtherCAT}).Draw(t, "protocol")
		n := rapid.IntRange(0, 12).Draw(t, "modules")
		p := newPlant(protocol, 1, n)
		p.Network.Subnet = &model.IPPrefix{Prefix: netip.MustParsePrefix("192.168.7.0/28")}
		p.Network.Gateway = &model.IPAddress{Addr: netip.MustParseAddr("192.168.7.3")}
		taken := rapid.Permutation([]int{1, 2, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}).Draw(t, "taken")
		for i := range n {
			name := fmt.Sprintf("m%d", i)
			spec := p.Modules[name]
			if rapid.Bool().Draw(t, "stated") {
				if protocol != model.SafetyOverEtherCAT {
					spec.Address = &model.IPAddress{Addr: netip.MustParseAddr(fmt.Sprintf("192.168.7.%d", taken[i]))}
				}
				if protocol != model.CIPSafety {
					spec.SafetyAddress = taken[i]
				}
			}
			p.Modules[name] = spec
			p.Network.Connections["con_"+name] = model.ConnectionSpec{Module: name}
		}
		m, err := model.Build(p.Description)
		require.NoError(t, err)
		options := network.PlanOptions{SafetyNetwork: "3a21_0403_0001"}
		plan, err := network.PlanAddresses(m, options)
		if n == 12 && protocol != model.SafetyOverEtherCAT {
			// 12 modules, a controller, a switch and the gateway are one more than 14 hosts.
			require.ErrorContains(t, err, "no free address left")
			return
		}
		require.NoError(t, err)
		again, err := network.PlanAddresses(m, options)
		require.NoError(t, err)
		require.Equal(t, plan, again)
		p.fill(plan)
		m, err = model.Build(p.Description)
		require.NoError(t, err)
		r, err := network.Compute(context.Background(), m, network.Options{})
		require.NoError(t, err)
		require.Empty(t, r.Addresses.Problems)
		plan, err = network.PlanAddresses(m, options)
		require.NoError(t, err)
		require.Empty(t, plan.Given)
	})
}

// fill writes a plan into the description.
func (p *plant) fill(plan *network.Plan) {
	for _, g := range plan.Given {
		group, name, _ := strings.Cut(g.At.Path, ".")
		set := func(a *model.AddressSpec) {
			if g.Address != nil {
				a.Address = g.Address
			}
			if g.SafetyAddress != 0 {
				a.SafetyAddress = g.SafetyAddress
			}
			if g.SafetyNetwork != "" {
				a.SafetyNetwork = g.SafetyNetwork
			}
		}
		switch group {
		case "controllers":
			x := p.Controllers[name]
			set(&x.AddressSpec)
			p.Controllers[name] = x
		case "switches":
			x := p.Switches[name]
			set(&x.AddressSpec)
			p.Switches[name] = x
		case "modules":
			x := p.Modules[name]
			set(&x.AddressSpec)
			p.Modules[name] = x
		default:
			name = strings.TrimPrefix(name, "connections.")
			x := p.Network.Connections[name]
			x.ConnectionID = g.ConnectionID
			p.Network.Connections[name] = x
		}
	}
}

// TestPlanSaysWhatIsMissing: a plan never invents what has to be decided.
func TestPlanSaysWhatIsMissing(t *testing.T) {
	plan := func(change func(*plant)) error {
		p := newPlant(model.CIPSafety, 0, 2)
		p.Network.Subnet = &model.IPPrefix{Prefix: netip.MustParsePrefix("192.168.7.0/28")}
		change(p)
		m, err := model.Build(p.Description)
		require.NoError(t, err)
		_, err = network.PlanAddresses(m, network.PlanOptions{})
		return err
	}
	assert.ErrorContains(t, plan(func(*plant) {}), "PlanOptions.SafetyNetwork")
	assert.ErrorContains(t, plan(func(p *plant) { p.Network = nil }), "has no network")
	assert.ErrorContains(t, plan(func(p *plant) {
		p.Network.Protocol = model.PROFIsafe
		p.Network.Subnet = nil
	}), "states no subnet")
	assert.ErrorContains(t, plan(func(p *plant) {
		p.Modules["m0"] = model.ModuleSpec{Type: "m", AddressSpec: model.AddressSpec{SafetyNetwork: "3a21_0403_0001"}}
		p.Modules["m1"] = model.ModuleSpec{Type: "m", AddressSpec: model.AddressSpec{SafetyNetwork: "3a21_0403_0002"}}
	}), "settle which before planning")
}
