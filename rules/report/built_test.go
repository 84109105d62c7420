package report_test

import (
	"errors"
	"fmt"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// The result below is built by hand, so that the tests of the print do not depend on what rules and calculations say.
// Its numbers are invented.

const machineText = `format: 1
machine: Small press
modules:
  m1: {type: io, ports: {1: {device: g1, cable: {type: w, length: 31 m}}, 2: {device: g2}}}
  m2:	{type: io, about: "a line that is longer than the page is wide, so that it is cut on both sides around the place", zone: left, ports: {1: {device: g3}}}
`

func at(line, column int) source.Position {
	return source.Position{File: "press.yaml", Line: line, Column: column}
}

func readMachine(name string) ([]byte, error) {
	if name == "press.yaml" {
		return []byte(machineText), nil
	}
	return nil, errors.New("there is no such file")
}

// builtResult has one entry of every kind.
func builtResult() *rules.Result {
	length := &rules.Rule{ID: "cable-length", For: "port", Pack: "Plant rules", Severity: rules.Error, Source: "data sheet of the module, section 4.2",
		Position: source.Position{File: "plant.yaml", Line: 4, Column: 3}}
	spare := &rules.Rule{ID: "spare-ports-are-capped", For: "port", Pack: "Plant rules", Severity: rules.Warning, Source: "IEC 60529:2013, 5.1"}
	tidy := &rules.Rule{ID: "labels", For: "device", Pack: "Plant rules", Severity: rules.Advice}
	broken := &rules.Rule{ID: "quotient", For: "device", Pack: "Plant rules", Severity: rules.Warning,
		Position: source.Position{File: "plant.yaml", Line: 40, Column: 3}}
	stops := &rules.Rule{ID: "open-gate-stops", For: "zone", Pack: "Plant rules", Severity: rules.Error}
	runs := &rules.Rule{ID: "can-run", For: "zone", Pack: "Plant rules", Severity: rules.Error}
	accepted := &model.Acceptance{Origin: model.Origin{Position: at(9, 3)}, AcceptSpec: model.AcceptSpec{Rule: "labels", At: "devices.g3",
		Reason: "The device is labelled by its maker", Who: "plant engineering", Until: model.Date{Year: 2030, Month: 6, Day: 30}}}
	return &rules.Result{
		Machine: &model.Machine{Name: "Small press", About: "Built by hand", Logic: &model.Logic{Values: []*model.LogicValue{
			{Origin: model.Origin{Name: "left.run", Position: at(12, 3)}, Expression: model.Expression{Text: "g1.closed && armed"}},
			{Origin: model.Origin{Name: "count"}, Expression: model.Expression{Text: "pre(count)"}, LogicType: model.LogicType{Number: true, Max: 5}, Initial: 3},
			{Origin: model.Origin{Name: "lamp"}, Expression: model.Expression{Text: "pre(lamp)"}, LogicType: model.LogicType{Words: []string{"off", "flash"}}, Initial: 1},
			{Origin: model.Origin{Name: "armed"}, Expression: model.Expression{Text: "pre(armed) || fell(armed_button)"}, Initial: 1, Block: "armed"},
		}}},
		Today:   model.Date{Year: 2029, Month: 1, Day: 2},
		Results: &calc.Results{Power: builtPower()},
		Findings: []rules.Finding{
			{Rule: length, Severity: rules.Error, Kind: "port", Path: "modules.m1.ports.1", Position: at(4, 42),
				Summary: "the cable of m1.1 is 31 m long, and the module allows 30 m", Hint: "shorten the cable, or move the device g1 to a nearer module",
				Because: []rules.Value{{Text: "port.cable.length", Value: "31 m"}, {Text: "port.module.type.max_cable", Value: "30 m"}},
				Related: []rules.Related{{Text: "port.device", Name: "g1", Path: "devices.g1", Position: at(7, 3)}}},
			{Rule: spare, Severity: rules.Warning, Kind: "port", Path: "modules.m2.ports.1", Position: at(5, 138),
				Summary: "a message of several sentences. It is so long that it needs a second line, because it explains at length what is wrong."},
			{Rule: tidy, Severity: rules.Advice, Kind: "device", Path: "devices.g2", Summary: "g2 has no label"},
			{Rule: tidy, Severity: rules.Advice, Kind: "device", Path: "devices.g3", Position: at(8, 3), Summary: "g3 has no label", Accepted: accepted},
			{Rule: stops, Severity: rules.Error, Kind: "zone", Path: "zones.left", Position: at(11, 3), Summary: "left runs with an open gate",
				Because: []rules.Value{{Text: "left.run", Value: "true"}}, Story: builtStory(), Assumptions: []string{"one_hand"}},
		},
		Unanswered: []rules.Unanswered{
			{Rule: length, Cause: rules.MissingData, Kind: "port", Path: "modules.m1.ports.2", Position: at(4, 80),
				Text: "not decidable, because port.cable of modules.m1.ports.2 is not stated"},
			{Rule: broken, Cause: rules.Failed, Kind: "device", Path: "devices.g1", Position: at(7, 3),
				RulePosition: source.Position{File: "plant.yaml", Line: 42, Column: 20}, Text: "the rule failed: division by zero"},
			{Rule: runs, Cause: rules.NotProved, Kind: "zone", Path: "zones.right", Text: "not decided within the limits of the proof, so neither proved nor broken: too many states"},
			{Rule: broken, Cause: rules.TooCostly, Kind: "device", Path: "devices.g2", Text: "the rule was stopped after 5000000 steps"},
		},
		Acceptances: []rules.AcceptanceProblem{{Kind: rules.Expired, Position: at(10, 3),
			Text: "the acceptance of labels at devices.g4 expired on 2028-12-31: judge the finding again, and state a new date or remove it"}},
		Assumptions: []rules.Assumption{
			{Name: "one_hand", Holds: "!(a && b)", About: "one person at the panel", Position: at(13, 3)},
			{Name: "calm", Holds: "!wind", Off: true},
		},
		Proofs: []rules.Proof{
			{Rule: stops, Kind: "zone", Path: "zones.left", Position: at(11, 3), Story: builtStory(),
				Result: logic.Result{Verdict: logic.Refuted, Steps: 3, Shortest: true, Method: "search", Assumptions: []string{"one_hand"}}},
			{Rule: stops, Kind: "zone", Path: "zones.right", Result: logic.Result{Verdict: logic.Proved, Method: "search"}},
			{Rule: runs, Kind: "zone", Path: "zones.left", Story: builtStory(), Result: logic.Result{Verdict: logic.Reached, Steps: 3, Method: "search"}},
			{Rule: runs, Kind: "zone", Path: "zones.right", Result: logic.Result{Verdict: logic.Undecided, Reason: "too many states"}},
		},
		Faults: &rules.FaultTable{Properties: 2, Assumptions: []string{"one_hand"},
			Faults: []rules.FaultAnswer{
				{Kind: "device", Name: "g1", Path: "devices.g1", Position: at(7, 3), Fault: "channel 1 stuck closed", Outside: 1, Notice: rules.Noticed,
					Proofs: []rules.FaultProof{{Rule: stops, Kind: "zone", Path: "zones.right", Answer: rules.FaultKept}}},
				{Kind: "device", Name: "g1", Path: "devices.g1", Position: at(7, 3), Fault: "channels joined (cross)", Outside: 2, Notice: rules.NoEffect, Reason: "by itself it changes nothing"},
				{Kind: "device", Name: "k1", Path: "devices.k1", Fault: "welded: stays on", Outside: 1, Notice: rules.NotNoticed, Restart: builtStory(),
					Proofs: []rules.FaultProof{{Rule: stops, Kind: "zone", Path: "zones.right", Answer: rules.FaultBroken, Story: builtStory()}}},
				{Kind: "connection", Name: "con_1", Path: "network.connections.con_1", Fault: "communication lost for ever", Notice: rules.NoticeUndecided, Reason: "too many states",
					Proofs: []rules.FaultProof{{Rule: stops, Kind: "zone", Path: "zones.right", Reason: "too many states"}, {Rule: runs, Kind: "zone", Path: "zones.right", Answer: rules.FaultKept}}},
			},
			NotAsked:   []rules.FaultProof{{Rule: stops, Kind: "zone", Path: "zones.left", Answer: rules.FaultBroken}},
			NotCovered: []rules.NotCovered{{Text: "faults of the controller"}, {Path: "devices.g2", Text: "the logic reads none of its signals, and no drive is switched by it"}},
		},
		LogicProblems: source.Problems{{Position: at(12, 9), Path: "logic.values.run", Text: "gate is not known here"}},
		Record:        builtRecord(stops, runs),
		NotComputed:   []rules.NotComputed{{Section: "network", Text: "described but not computed in this version: load of the network"}},
		Tallies: []rules.Tally{{Rule: length, Objects: 4, Passed: 2, Broken: 1, Undecided: 1}, {Rule: spare, Objects: 4, Passed: 3, Broken: 1},
			{Rule: tidy, Objects: 3, Outside: 1, Broken: 2}, {Rule: broken, Objects: 3, Passed: 1, Failed: 1, Stopped: 1}},
	}
}

// builtRecord is a record with an answer of every kind.
func builtRecord(stops, runs *rules.Rule) *rules.Replayed {
	moment := func(cycle int64) *rules.Moment {
		return &rules.Moment{Cycle: cycle, Time: fmt.Sprintf("%g s", float64(cycle)/100), Line: int(cycle) + 2}
	}
	window := &rules.Window{First: 1200, Times: []string{"12 s", "12.01 s", "12.02 s"}, Trace: builtStory().Trace}
	told := rules.Observed{Cycles: 3000}
	open := rules.Observed{Cycles: 3000, Unknown: 40, FirstUnknown: moment(7), Why: "g1.closed is unknown in the record"}
	none := rules.Observed{Cycles: 3000, Unknown: 3000, FirstUnknown: moment(0), Why: "nothing was recorded", Missing: []string{"g2.closed"}}
	broken := rules.Observed{Cycles: 3000, Hits: 2, First: moment(1202), Window: window, Assumed: []string{"armed"}}
	called := func(name string, o rules.Observed) rules.Observed { o.Name = name; return o }
	met := rules.Observed{Goal: true, Cycles: 3000, Hits: 9, First: moment(1300)}
	return &rules.Replayed{Name: "trace.csv", Mapping: &record.Mapping{Record: "first day", Rows: record.Changes, Lag: 1},
		Cycle: model.Milliseconds(10), LongestGap: model.Milliseconds(50), From: "0 s", To: "29.99 s", FirstGap: &rules.RecordGap{From: "3 s", To: "3.4 s"},
		Count:    record.Count{Rows: 812, Cycles: 3000, Gaps: 1, Lost: 39, Fast: 2, Between: 1},
		Recorded: []record.Signal{{Name: "g1.closed"}, {Name: "left.run", Computed: true}}, Unused: []string{"comment"},
		Rules: []rules.ReplayedRule{
			{Rule: stops, Kind: "zone", Path: "zones.left", Position: at(11, 3), Observed: broken, Finding: &rules.Finding{Summary: "left runs with an open gate", Hint: "look at the gate"}},
			{Rule: stops, Kind: "zone", Path: "zones.right", Observed: told},
			{Rule: runs, Kind: "zone", Path: "zones.left", Observed: met},
			{Rule: runs, Kind: "zone", Path: "zones.right", Observed: rules.Observed{Goal: true, Cycles: 3000}},
		},
		Values:      []rules.ReplayedValue{{Observed: called("left.run", broken), Recorded: "true", Expected: "false"}, {Observed: called("armed", none)}},
		Assumptions: []*rules.Observed{ptr(called("one_hand", broken)), ptr(called("view", open)), ptr(called("closed", told))},
		Unanswered:  []rules.Unanswered{{Rule: runs, Cause: rules.MissingData, Kind: "zone", Path: "zones.back", Text: "not decidable, because back has no word run"}},
	}
}

// builtStory is a run of three cycles.
func builtStory() *rules.Story {
	return &rules.Story{Cycle: model.Milliseconds(10), Shortest: true, Trace: &logic.Trace{
		Signals: []logic.TraceSignal{{Name: "g1.closed", Kind: logic.InputSignal}, {Name: "left.run", Kind: logic.NetSignal},
			{Name: "lamp", Kind: logic.NetSignal, Integer: true, Labels: []string{"off", "flash"}}},
		Values: [][]logic.Value{{logic.False, logic.False, 1}, {logic.True, logic.True, 0}, {logic.False, logic.True, logic.Unknown}},
	}}
}

func origin(name, path string, line int) model.Origin {
	return model.Origin{Name: name, Path: path, Position: at(line, 3)}
}

// within and beyond are decided checks; the margin is the caller's, because lower limits count the other way.
func decided[Q ~float64](value, limit, margin Q, limits string) power.Check[Q] {
	c := power.Check[Q]{Status: power.Within, Value: value, Limit: limit, Margin: margin, Case: power.Lowest, Limits: limits}
	if margin < 0 {
		c.Status = power.Beyond
	}
	return c
}

func points(volts ...float64) power.ByCase[power.Point] {
	var out power.ByCase[power.Point]
	for i, v := range volts {
		out[i] = power.Point{Solved: true, Voltage: model.Volts(v), Current: model.Amps(1.5)}
	}
	return out
}

func ptr[T any](x T) *T { return &x }

func builtPower() *power.Result {
	supply := &model.Supply{Origin: origin("ps", "power.supplies.ps", 20)}
	protection := &model.Protection{Origin: origin("q1", "power.protections.q1", 21), Supply: supply}
	m1 := &model.Module{Origin: origin("m1", "modules.m1", 4)}
	device := &model.Device{Origin: origin("g1", "devices.g1", 7)}
	port := &model.Port{Origin: origin("1", "modules.m1.ports.1", 4), Module: m1, Device: device}
	feed := &model.Feed{Origin: origin("f1", "power.feeds.f1", 22), To: model.Consumer{Module: m1}}
	sensor := &model.FeedCircuit{Feed: feed, Circuit: model.Sensor, Supply: supply, Protection: protection}
	breaker := &power.Protective{Protection: protection}
	portFuse := &power.Protective{Port: port, Circuit: model.Sensor}
	cable := &model.CableRun{CableRunSpec: model.CableRunSpec{Type: "w", Length: model.Metres(12)}, Cable: &model.Cable{Origin: model.Origin{Name: "w"}}}
	plug := &model.Connector{Origin: model.Origin{Name: "m12_l5"}}
	run := &power.Run{
		Cable: cable, Circuit: model.Sensor,
		Plus: power.Conductor{Cores: 1, Section: model.SquareMillimetres(1.5), Length: model.Metres(12), PerLength: model.OhmsPerKilometre(13.3), From: "IEC 60228:2004 Table 3",
			Hot: model.Celsius(80), AtHot: model.MilliOhms(197)},
		Return:        power.Conductor{Cores: 1, Section: model.SquareMillimetres(1.5), Length: model.Metres(12), AtHot: model.MilliOhms(197)},
		Ampacity:      power.Ampacity{Known: true, Value: model.Amps(9.5), Base: model.Amps(13.5), Ambient: 0.88, Grouping: 0.8, Loaded: 1, Standard: model.IEC60204},
		Current:       decided(model.Amps(1.5), model.Amps(9.5), model.Amps(8), "ampacity of the core (IEC 60204-1:2016, Table 6)"),
		ReturnCurrent: decided(model.Amps(9.6), model.Amps(9.5), model.Amps(-0.1), "ampacity of the core (IEC 60204-1:2016, Table 6)"),
		Contacts: []power.Contact{{Connector: plug, Current: decided(model.Amps(1.5), model.Amps(12), model.Amps(10.5), "permitted share of the base curve (IEC 60512-5-2)")},
			{Connector: plug, Return: true, Current: power.Check[model.Current]{Status: power.NotCovered, Value: model.Amps(9.6), Case: power.Lowest, Why: "the air may be hotter than the base curve reaches"}}},
		Protective: breaker,
		Overload:   decided(model.Amps(6), model.Amps(9.5), model.Amps(3.5), "ampacity of the cores in parallel (IEC 60364-4-43:2008, 433.1)"),
		Withstand:  power.Check[model.JouleIntegral]{Case: power.NoCase, Why: "the protective device need not open"},
		Fault: power.Fault{Known: true, Voltage: model.Volts(23.5), Loop: model.Ohms(0.9), Current: model.Amps(26), Assured: ptr(model.Amps(24)), Protective: breaker,
			Trip:  decided(model.Amps(24), model.Amps(30), model.Amps(-6), "current at which the device is sure to open in time"),
			Opens: power.Check[model.Duration]{Case: power.NoCase, Why: "the device need not open at 24 A"}},
	}
	load := &power.Load{Load: &model.DeviceLoad{Origin: origin("magnet", "devices.g1.loads.magnet", 7), Circuit: model.Actuator}, Port: port,
		Points:  points(19.8, 24.4),
		Lowest:  decided(model.Volts(19.8), model.Volts(18), model.Volts(1.8), "lowest voltage at which the load works (min)"),
		Highest: decided(model.Volts(24.4), model.Volts(26.4), model.Volts(2), "highest voltage that the load permits (max)"),
		PullIn:  decided(model.Volts(19.5), model.Volts(20.4), model.Volts(-0.9), "voltage at which the magnet pulls (pull_in)"),
		Drop:    decided(model.Ratio(0.1625), model.Ratio(0.05), model.Ratio(-0.1125), "5 % of the nominal voltage (IEC 60204-1:2016 12.5)")}
	unfed := &power.Load{Load: &model.DeviceLoad{Origin: origin("electronics", "devices.a_device_with_a_very_long_name_that_nobody_wants_to_type_twice.loads.electronics", 8)}}
	for _, c := range []*power.Check[model.Voltage]{&unfed.Lowest, &unfed.Highest, &unfed.PullIn} {
		*c = power.Check[model.Voltage]{Case: power.NoCase, Why: "nothing feeds the load"}
	}
	unfed.Drop.Why = "nothing feeds the load"
	network := &power.Network{Supplies: []*model.Supply{supply}, Feeds: []*model.FeedCircuit{sensor}}
	network.Operation[power.Lowest] = power.Operation{Status: power.NoOperatingPoint, Why: "the loads want 180 W, and at most 150 W get through f1",
		Collapse: &power.Collapse{Lower: 0.83, Upper: 0.84, At: power.Place{Feed: sensor, Circuit: model.Sensor}, Voltage: model.Volts(11.7), Power: model.Watts(180), Excess: model.Watts(30)}}
	network.Operation[power.Highest].Status = power.Solved
	return &power.Result{
		Cases:    []power.Case{power.Lowest, power.Highest},
		Networks: []*power.Network{network},
		Supplies: []*power.Supply{{Supply: supply, Points: points(23.5, 24.5), Current: decided(model.Amps(7.5), model.Amps(8.5), model.Amps(1), "rated current at the highest air temperature"),
			Inrush: power.Inrush{Hold: power.Check[model.Current]{Status: power.NotApplicable, Case: power.NoCase, Why: "no load states an inrush"},
				Capacity: power.Check[model.Capacitance]{Status: power.NoLimit, Value: model.Microfarads(4700), Case: power.NoCase, Why: "max_capacitance is not stated"}}}},
		Protections: []*power.Protection{{Protection: protection, Points: points(23.4, 24.4), Current: decided(model.Amps(5), model.Amps(5), 0, "current that the device holds for ever"),
			Fault: run.Fault, Inrush: power.Inrush{Hold: decided(model.Amps(40), model.Amps(25), model.Amps(-15), "current that the device stands for the duration of the inrush")}}},
		Feeds: []*power.Feed{{Feed: feed, Circuits: []*power.FeedCircuit{{Circuit: sensor, Network: network, Points: points(22.4, 24.3), Run: run}}}},
		Modules: []*power.Module{{Module: m1, Free: 3,
			Circuits: []*power.ModuleCircuit{{Circuit: model.Sensor, Feed: sensor, Points: points(22.4, 24.3),
				Own:     power.Check[model.Current]{Status: power.NoLimit, Value: model.Amps(1.2), Case: power.Lowest, Why: "sensor_limit is not stated"},
				Through: decided(model.Amps(1.5), model.Amps(16), model.Amps(14.5), "pass-through limit of the module (pass_limit)")}},
			Ports: []*power.Port{{Port: port, Circuits: []*power.PortCircuit{{Circuit: model.Sensor, Points: points(22.1, 24.2),
				Current: decided(model.MilliAmps(45), model.Amps(1.5), model.Amps(1.455), "limit of the port"),
				Hold:    decided(model.MilliAmps(45), model.Amps(1.25), model.Amps(1.205), "current that the fuse holds for ever")}}}}}},
		Devices: []*power.Device{{Device: device, Loads: []*power.Load{load}},
			{Device: &model.Device{Origin: origin("a_device_with_a_very_long_name_that_nobody_wants_to_type_twice", "devices.a_device", 8)}, Loads: []*power.Load{unfed}}},
		Selectivity: []*power.Selectivity{
			{Downstream: portFuse, Upstream: breaker, Status: power.Beyond, From: model.Amps(4), To: model.Amps(40), At: model.Amps(5), UpstreamHolds: ptr(model.Seconds(2))},
			{Downstream: portFuse, Upstream: breaker, Status: power.Within, From: model.Amps(4), To: model.Amps(40), At: model.Amps(4), DownstreamOpens: ptr(model.Seconds(1))},
			{Downstream: portFuse, Upstream: breaker, Status: power.NotCovered, Why: "the port's fuse states no trip times"}},
		Limits: []power.Limit{{Place: m1.Origin, Text: "the 0 V of both circuits meet in the module; the return current is taken on its own conductors"},
			{Place: model.Origin{Name: "m2"}, Circuit: model.Actuator, Text: "the 0 V of both circuits meet in the module; the return current is taken on its own conductors"}},
	}
}
