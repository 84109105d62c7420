package main

import "github.com/invopop/jsonschema"

// conditions are what a type demands of several keys together, by Go type. They are stated with if and then on one
// key where that is possible: an editor can then say which key is wrong.
func conditions() map[string][]*jsonschema.Schema {
	return map[string][]*jsonschema.Schema{
		"LoadType": {exactlyOne("current", "power", "resistance")},
		"Inrush": {{
			If:   is("none", true),
			Then: without("capacitance", "current", "duration"),
			Else: &jsonschema.Schema{AnyOf: []*jsonschema.Schema{has("capacitance"), has("current")}},
		}, needs("current", "duration"), needs("duration", "current")},
		"DeviceType":     {antivalent(), {If: has("shows_live"), Then: all(has("pluggable"), with("pluggable", &jsonschema.Schema{Const: true}))}},
		"MutingSpec":     {needs("override_limit", "override")},
		"PlantSpec":      {{If: is("through", "none"), Then: without("at")}},
		"ParameterSet":   {antivalent(), {If: is("holds_while_differing", true), Then: has("discrepancy")}},
		"ProtectionType": protection(),
		"PortSpec": {{
			If:   has("device"),
			Then: with("capped", &jsonschema.Schema{Const: false}),
			Else: without("cable", "set"),
		}},
		"FlowSpec":       {flow()},
		"RuleSpec":       {has("say"), exactlyOne("require", "always", "reach")},
		"LogicInputSpec": {needs("min", "max"), {If: has("one_of"), Then: without("min", "max")}},
		"AssumeSpec":     {{If: is("off", true), Else: has("holds")}},
		"CaseSpec":       {exactlyOne("file", "machine"), {If: entries("says"), Then: entries("finds")}, needs("replace", "file")},
		"RingSpec": {
			{If: is("protocol", "dlr"), Else: without("beacon_interval", "beacon_timeout")},
			{If: is("protocol", "mrp"), Else: without("test_interval", "test_count")},
		},
		"ForwardingType": {{If: is("method", "on-the-fly"), Then: without("queues", "order", "buffer")}},
		"NetworkSpec":    network(),
		"ControllerSpec": {needs("execution_time", "safety_cycle")},
		"DriveSpec": {
			{If: has("ramp"), Then: all(has("stop_category"), with("stop_category", &jsonschema.Schema{Enum: []any{1, 2}}))},
			{If: has("removal_delay"), Then: all(has("stop_category"), with("stop_category", &jsonschema.Schema{Const: 1}))},
			needs("measured_on", "measured"),
		},
		"ApproachSpec": {
			{If: is("direction", "angled"), Then: has("angle"), Else: without("angle")},
			needs("engaging_points", "revolution_time"),
			needs("revolution_time", "engaging_points"),
			needs("opening_shape", "opening"),
			needs("opening_length", "opening"),
			{If: has("opening_length"), Then: with("opening_shape", &jsonschema.Schema{Const: "slot"})},
		},
		"FeedSpec": {{
			If:   has("from"),
			Then: circuits(without("from")),
			Else: all(circuits(has("from")), &jsonschema.Schema{AnyOf: []*jsonschema.Schema{has("sensor"), has("actuator")}}),
		}},
	}
}

func antivalent() *jsonschema.Schema {
	return &jsonschema.Schema{
		If:   is("antivalent", true),
		Then: all(has("channels"), with("channels", &jsonschema.Schema{Const: 2})),
	}
}

func protection() []*jsonschema.Schema {
	return []*jsonschema.Schema{
		{If: is("kind", "breaker"), Then: has("characteristic"), Else: without("characteristic", "dc_factor")},
		{If: is("kind", "self-resetting"), Then: entries("temperature_table")},
		{If: is("kind", "melting-fuse"), Else: without("melt_min", "melt_max")},
	}
}

// flow: burst and rate, or an interval.
func flow() *jsonschema.Schema {
	return &jsonschema.Schema{
		If:   &jsonschema.Schema{AnyOf: []*jsonschema.Schema{has("burst"), has("rate")}},
		Then: all(has("burst", "rate"), without("interval", "frames")),
		Else: has("interval"),
	}
}

// network: what only one protocol has.
func network() []*jsonschema.Schema {
	connections := func(demand *jsonschema.Schema) *jsonschema.Schema {
		return with("connections", &jsonschema.Schema{AdditionalProperties: demand})
	}
	return []*jsonschema.Schema{
		{
			If:   is("protocol", "cip-safety"),
			Then: without("cycle"),
			Else: connections(without("age_limit", "ping_multiplier")),
		},
		{
			If:   is("protocol", "profisafe"),
			Else: connections(without("reduction", "input_beside", "output_beside")),
		},
		{
			If: is("protocol", "safety-over-ethercat"),
			Then: all(connections(without("format")), with("traffic", &jsonschema.Schema{
				PropertyNames: jsonschema.FalseSchema, // maxProperties 0 would be lost: the generator leaves zeros out
			})),
			Else: all(without("process_data"), connections(without("connection_id"))),
		},
	}
}

// needs demands another key beside one.
func needs(key, other string) *jsonschema.Schema {
	return &jsonschema.Schema{If: has(key), Then: has(other)}
}

// circuits puts a demand on both circuits of a feed.
func circuits(demand *jsonschema.Schema) *jsonschema.Schema {
	return all(with("sensor", demand), with("actuator", demand))
}

func has(keys ...string) *jsonschema.Schema { return &jsonschema.Schema{Required: keys} }

// entries demands a list with something in it.
func entries(key string) *jsonschema.Schema {
	s := with(key, &jsonschema.Schema{MinItems: number(1)})
	s.Required = []string{key}
	return s
}

func with(key string, demand *jsonschema.Schema) *jsonschema.Schema {
	s := &jsonschema.Schema{Properties: jsonschema.NewProperties()}
	s.Properties.Set(key, demand)
	return s
}

func without(keys ...string) *jsonschema.Schema {
	s := &jsonschema.Schema{Properties: jsonschema.NewProperties()}
	for _, key := range keys {
		s.Properties.Set(key, jsonschema.FalseSchema)
	}
	return s
}

func is(key string, value any) *jsonschema.Schema {
	s := with(key, &jsonschema.Schema{Const: value})
	s.Required = []string{key}
	return s
}

func all(demands ...*jsonschema.Schema) *jsonschema.Schema { return &jsonschema.Schema{AllOf: demands} }

func exactlyOne(keys ...string) *jsonschema.Schema {
	s := &jsonschema.Schema{}
	for _, key := range keys {
		s.OneOf = append(s.OneOf, has(key))
	}
	return s
}
