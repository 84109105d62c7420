package schema_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/schema"
)

// agreed are changes that loader and schema judge alike: good where path is empty, else bad there.
func agreed() []change {
	const m, p, r = "machine.yaml", "parts.yaml", "rules.yaml"
	return []change{
		{m, "joints: [m12_5]", "joints: ['']", "modules.m1.ports.1.cable.joints", "a joint that is nothing"},
		{m, "demand: [gate, curtain]", "demand: [gate, '']", "functions.front.demand", "a demand of nothing"},
		{m, "switched_by: [k1]", "switched_by: [k1, '']", "drives.ram.switched_by", "an energy that nothing takes away"},
		{p, "ends: [m12_5, m12_5]", "ends: [m12_5, '']", "types.cables.sensor_5.ends", "a plug that is nothing"},
		{m, "machine: Press 2", "machine: 4711", "", "a text may look like a number"},
		{m, "machine: Press 2", "machine: true", "", "or like a truth value"},
		{m, "machine: Press 2", "machine: 2031-12-31", "", "or like a date"},
		{m, "machine: Press 2", `machine: ""`, "machine", "a required text is empty"},
		{m, "about: Two zones, two modules in a chain", "about: ''", "about", "another text is empty"},
		{m, "machine: Press 2\n", "", "machine", "a required key is missing"},
		{m, "machine: Press 2", "machine:", "machine", "a key has no value"},
		{m, "machine: Press 2", "machine: ~", "machine", "null is no value"},
		{m, "machine: Press 2", "machine: [Press 2]", "machine", "a list for a text"},
		{m, "about: Two zones", "abuot: Two zones", "abuot", "a key that is not known"},
		{m, "format: 1\n", "format: 2\n", "format", "a format of the future"},
		{m, "format: 1\n", "format: -1\n", "format", "a format that never was"},
		{m, "format: 1\n", `format: "1"` + "\n", "format", "a number in quotes"},
		{m, "format: 1\n", "format: one\n", "format", "a word for a number"},
		{m, "format: 1\n", "format: 1.5\n", "format", "a number that is not whole"},
		{m, "use: [parts.yaml]", "use: parts.yaml", "use", "a text for a list"},

		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {min: -5 °C, max: 104 °F}\n", "ambient", "no unit of temperature"},
		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {min: -5 degC, max: 313 K}\n", "ambient", "no unit of these files"},
		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {min: -5 degC, max: +40°C}\n", "", "other spellings of degrees"},
		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {min: 5, max: 40}\n", "ambient", "temperatures without a unit"},
		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {max: 40 °C}\n", "ambient", "the machine needs both temperatures"},
		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {}\n", "ambient", "nor is it enough to name them together"},
		{m, "ambient: {max: 45 °C}", "ambient: {}", "", "a zone needs none of them"},
		{m, "ingress: IP67", "ingress: IP79", "zones.press.ingress", "IEC 60529 has no first numeral 7"},
		{m, "ingress: IP67", "ingress: ip67", "zones.press.ingress", "small letters"},
		{m, "ingress: IP67", "ingress: IP69", "", "another degree of protection"},
		{m, "whole_body: true", "whole_body: yes", "zones.press.whole_body", "a word for a truth value"},
		{m, "whole_body: true", `whole_body: "true"`, "zones.press.whole_body", "a truth value in quotes"},
		{m, "whole_body: true", "whole_body: 1", "zones.press.whole_body", "a number for a truth value"},
		{m, "  cabinet: {about: Control cabinet}", "  cabinet: {about: Control cabinet}\n  hall-1: {}", "zones.hall-1", "a hyphen in a name"},
		{m, "  cabinet: {about: Control cabinet}", "  cabinet: {about: Control cabinet}\n  1st: {}", "zones.1st", "a name starts with a digit"},
		{m, "  cabinet: {about: Control cabinet}", "  cabinet: {about: Control cabinet}\n  Höhe: {}", "zones.Höhe", "a name with an umlaut"},
		{m, "  cabinet: {about: Control cabinet}", "  cabinet: {about: Control cabinet}\n  _Hall_1: {}", "", "every sign that a name may have"},
		{m, "  cabinet: {about: Control cabinet}", "  cabinet:", "zones.cabinet", "a zone with nothing, not even {}"},
		{m, "zones:\n", "zones: &z\n", "", "an anchor"},

		{m, "  tray-detector: {about: Detects a tray,", "  tray-detector: {about: &a Detects a tray,", "", "an anchor within"},
		{m, "kinds:\n", "kinds:\n  Tray: {}\n", "kinds.Tray", "a kind with a capital"},
		{m, "kinds:\n", "kinds:\n  tray_1: {}\n", "kinds.tray_1", "a kind with an underscore"},
		{m, "kinds:\n", "kinds:\n  tray-: {}\n", "kinds.tray-", "a kind that ends in a hyphen"},
		{m, "kinds:\n", "kinds:\n  tray-1: {}\n", "", "a further kind"},
		{m, "kinds:\n", "kinds:\n  lamp: {takes: [on]}\n", "kinds.lamp", "a kind that is built in"},
		{m, "gives: [present, aligned]", "gives: [present, a-ligned]", "kinds.tray-detector", "a signal that logic cannot name"},
		{m, "gives: [present, aligned]", "gives: [present, in]", "kinds.tray-detector", "a signal that is a word of CEL"},
		{m, "gives: [present, aligned]", "gives: [present, present]", "kinds.tray-detector", "a signal twice"},

		{m, "sensors: [beam_1, beam_2]", "sensors: [beam_1]", "devices.curtain.muting.sensors", "one sensor mutes nothing"},
		{m, "sensors: [beam_1, beam_2]", "sensors: [beam_1, beam_1]", "devices.curtain.muting.sensors", "one sensor twice"},
		{m, "      override: drive_out\n", "", "devices.curtain.muting.override_limit", "a limit of nothing"},
		{m, "view_of: [press]", "view_of: [press, press]", "devices.reset.view_of", "a zone twice"},
		{m, "view_of: [press]", "view_of: []", "", "no zone is seen"},
		{m, "meaning: abnormal", "meaning: fault", "devices.muting_lamp.meaning", "no meaning of IEC 60204-1"},
		{m, "plant: {through: firewall, at: s1.p4}", "plant: {through: none, at: s1.p4}", "network.plant.at", "a port of no use"},
		{m, "plant: {through: firewall, at: s1.p4}", "plant: {at: s1.p4}", "network.plant.through", "joined, but how?"},
		{m, "plant: {through: firewall, at: s1.p4}", "plant: {through: firewall, at: s1}", "network.plant.at", "a node without its port"},
		{p, "pluggable: true, shows_live", "shows_live", "types.devices.stop", "only what can be unplugged"},
		{p, "pins: {1: pulse-1, 3: zero}", "pins: {0: pulse-1, 3: zero}", "types.modules.mixed_8.ports.1-4.pins.0", "contacts are counted from 1"},
		{p, "pins: {1: pulse-1, 3: zero}", "pins: {1: pulse, 3: zero}", "types.modules.mixed_8.ports.1-4.pins.1", "no use of a contact"},
		{p, "two_hand_type: III C", "two_hand_type: IIIC", "types.devices.hands.two_hand_type", "a type without its blank"},
		{m, "type: lock, zone", "typ: lock, zone", "devices.gate", "a misspelled key"},
		{m, "{type: lock, zone: press,", "{zone: press,", "devices.gate.type", "a device without its type"},
		{m, "  k1: {type: contactor, zone: cabinet}", "  k1: {type: contactor, zone: ''}", "devices.k1.zone", "an empty name"},
		{m, "label: -B1", "label: 1", "", "a label that looks like a number"},
		{m, "address: 10.8.3.21", "address: 10.8.3.256", "modules.m1.address", "no byte"},
		{m, "address: 10.8.3.21", "address: 10.8.3.021", "modules.m1.address", "octal to some programs"},
		{m, "address: 10.8.3.21", "address: 10.8.3", "modules.m1.address", "three bytes"},
		{m, "address: 10.8.3.21", "address: fe80::1", "modules.m1.address", "IPv6"},
		{m, "address: 10.8.3.21", "address: 0.0.0.0", "", "an address, if a strange one"},
		{m, "safety_address: 21", "safety_address: 65535", "", "the highest address"},
		{m, "safety_address: 21", "safety_address: 65536", "modules.m1.safety_address", "one more"},
		{m, "safety_address: 21", "safety_address: 0", "modules.m1.safety_address", "no address"},
		{m, "method: E, grouped: 2", "method: E, grouped: 0", "modules.m1.ports.1.cable.laying.grouped", "no circuit"},
		{m, "safety_address: 21", "safety_address: -1", "modules.m1.safety_address", "below the lowest"},
		{m, "      2: {device: detector_1}", `      "2": {device: detector_1}`, "", "a port in quotes"},
		{m, "      2: {device: detector_1}", "      02: {device: detector_1}", "modules.m2.ports.02", "a port with a zero in front"},
		{m, "      2: {device: detector_1}", "      1-4: {device: detector_1}", "modules.m2.ports.1-4", "several ports for one device"},
		{m, "      2: {device: detector_1}", "      2: {device: detector_1, capped: true}", "modules.m2.ports.2", "a cap on a device"},
		{m, "      2: {device: detector_1}", "      2: {device: detector_1, capped: false}", "", "no cap, said so"},
		{m, "      x1: {capped: true}", "      x1: {capped: true, set: ossd_pair}", "modules.m1.ports.x1", "a parameter set without a device"},
		{m, "      x1: {capped: true}", "      x1: {cable: {type: sensor_5, length: 1 m}}", "modules.m1.ports.x1", "a cable without a device"},
		{m, "      x1: {capped: true}", "      x1: {capped: true, set: ''}", "modules.m1.ports.x1.set", "an empty name of a set"},
		{m, "      x1: {capped: true}", "      x1: {}", "", "a free port"},
		{m, "      x1: {capped: true}", "      x1: null", "modules.m1.ports.x1", "a port with nothing, not even {}"},
		{m, "length: 5 m, joints", "length: 5, joints", "modules.m1.ports.1.cable.length", "a length without a unit"},
		{m, "length: 5 m, joints", "length: 5 M, joints", "modules.m1.ports.1.cable.length", "a capital for a small letter"},
		{m, "length: 5 m, joints", "length: 5 mm², joints", "modules.m1.ports.1.cable.length", "a unit of something else"},
		{m, "length: 5 m, joints", "length: -5 m, joints", "modules.m1.ports.1.cable.length", "less than nothing"},
		{m, "length: 5 m, joints", "length: '5,5 m', joints", "modules.m1.ports.1.cable.length", "a comma for a point"},
		{m, "length: 5 m, joints", "length: .5 m, joints", "modules.m1.ports.1.cable.length", "no digit before the point"},
		{m, "length: 5 m, joints", "length: 5.5e-1 m, joints", "", "an exponent"},
		{m, "length: 5 m, joints", "length: 16.4ft, joints", "", "feet, without a blank"},
		{m, "length: 5 m, joints", "length: {value: 5, unit: m}, joints", "modules.m1.ports.1.cable.length", "a mapping for a quantity"},
		{m, "method: E, grouped: 2", "method: F, grouped: 2", "modules.m1.ports.1.cable.laying.method", "no method of IEC 60204-1"},
		{m, "method: E, grouped: 2", "method: E, grouped: -2", "modules.m1.ports.1.cable.laying.grouped", "less than no circuit"},
		{m, "method: E, grouped: 2", "method: E, grouped: 2 cables", "modules.m1.ports.1.cable.laying.grouped", "a number with a word"},

		{m, "ampacity: IEC 60204-1:2016", "ampacity: IEC 60204-1", "power.ampacity", "a standard without its edition"},
		{m, "ampacity: IEC 60204-1:2016", "ampacity: NFPA 79:2021", "", "the other standard"},
		{m, "fault_time: 400 ms", "fault_time: 0.4", "power.fault_time", "a time without a unit"},
		{m, "    q2: {type: electronic_6, from: ps1}", "    q2: {type: electronic_6}", "power.protections.q2.from", "a protective device from nowhere"},
		{m, "    f3: {to: c1, sensor: {from: q1}}", "    f3: {to: c1}", "power.feeds.f3", "a feed from nowhere"},
		{m, "    f3: {to: c1, sensor: {from: q1}}", "    f3: {to: c1, sensor: {}}", "power.feeds.f3.sensor", "a circuit from nowhere"},
		{m, "    f2: {from: m1, to: m2,", "    f2: {from: m1, sensor: {from: q1}, to: m2,", "power.feeds.f2.sensor.from", "a circuit from two places"},
		{m, "    f2: {from: m1, to: m2,", "    f2: {from: m1, sensor: {plus_cores: 1}, actuator: {}, to: m2,", "", "circuits that a module passes on"},

		{m, "protocol: cip-safety", "protocol: CIP Safety", "network.protocol", "a protocol as its makers write it"},
		{m, "protocol: cip-safety", "protocol: safety-over-ethercat", "network", "another protocol with keys of this one"},
		{m, "protocol: cip-safety", "protocol: cip-safety\n  cycle: 2 ms", "network.cycle", "a cycle that the protocol does not have"},
		{m, "protocol: cip-safety", "protocol: cip-safety\n  process_data: 64 B", "network.process_data", "data of another protocol"},
		{m, "      ping_multiplier: 10\n", "      reduction: 4\n", "network.connections.con_m1.reduction", "a key of another protocol"},
		{m, "      ping_multiplier: 10\n", "      connection_id: 4\n", "network.connections.con_m1.connection_id", "a key of a third protocol"},
		{m, "    camera: {", "    cam-1: {", "network.traffic.cam-1", "traffic that rules cannot name"},
		{m, "burst: 64 kB, rate: 10 Mbit/s", "burst: 64 kB", "network.traffic.camera", "a burst without a rate"},
		{m, "burst: 64 kB, rate: 10 Mbit/s", "burst: 64 kB, rate: 10 Mbit/s, interval: 1 s", "network.traffic.camera", "bounded in two ways"},
		{m, "burst: 64 kB, rate: 10 Mbit/s, priority", "priority", "network.traffic.camera", "not bounded"},
		{m, "{from: m2, to: c1, about", "{from: m2, to: c1.p9.p1, about", "network.traffic.camera.to", "too many points"},
		{m, "priority: 6", "priority: 8", "network.connections.con_m1.priority", "IEEE 802.1Q ends at 7"},
		{m, "priority: 6", "priority: 0", "", "and starts at 0"},
		{m, "format: long", "format: 1", "network.connections.con_m1.format", "a number for a word"},
		{m, "protocol: dlr", "protocol: mrp", "network.rings", "keys of the other ring protocol"},
		{m, "precedence: {c1: 2, m1: 1}", "precedence: {c1: 256, m1: 1}", "network.rings", "more than a byte"},
		{m, "precedence: {c1: 2, m1: 1}", "precedence: {c1: 255, m1: 0}", "", "all of a byte"},
		{m, "max_nodes: 50", "max_nodes: 2", "network.rings", "too few for a ring"},
		{m, "safety_network: 3a21_0403_0001\n", "safety_network: 3a21_0403\n", "modules.m1.safety_network", "4 byte"},
		{m, "safety_network: 3a21_0403_0001\n", "safety_network: 1234_0403_0001\n", "", "a number to old YAML"},
		{m, "safety_network: 3a21_0403_0001\n", "safety_network: 3A21_0403_000x\n", "modules.m1.safety_network", "no hexadecimal digit"},
		{m, "subnet: 10.8.3.0/24", "subnet: 10.8.3.0/33", "network.subnet", "more bits than there are"},
		{m, "subnet: 10.8.3.0/24", "subnet: 10.8.3.0", "network.subnet", "an address for a subnet"},
		{m, "subnet: 10.8.3.0/24", "subnet: 0.0.0.0/0", "", "all of it"},
		{m, "from: m2.p2, to: c1.p2", "from: m2, to: c1.p2", "network.links.2.from", "a node without its port"},
		{m, "from: m2.p2, to: c1.p2", "from: m2.p2.x, to: c1.p2", "network.links.2.from", "too many points"},
		{m, "medium: copper", "medium: Copper", "network.links.0.medium", "a capital in a word"},
		{m, "rate: 100 Mbit/s", "rate: 1 Gbit/s", "", "another rate"},
		{m, "rate: 100 Mbit/s", "rate: 100 MB/s", "network.links.0.rate", "bytes for bits"},
		{m, "    ring 1:", "    1st/ring:", "", "a ring may have any name"},
		{m, "nodes: [c1, m1, m2]", "nodes: [c1, m1, m1]", "network.rings.ring 1.nodes", "a node twice"},
		{m, "multiplier: 4", "multiplier: 4.5", "network.connections.con_m1.multiplier", "no whole number"},
		{m, "input: 4 B", "input: 32 bit", "", "bits for bytes"},

		{m, "belt: {stop_category: 0", "belt: {stop_category: 2", "", "the highest category"},
		{m, "belt: {stop_category: 0", "belt: {stop_category: 3", "drives.belt.stop_category", "IEC 60204-1 has no category 3"},
		{m, "belt: {stop_category: 0", "belt: {stop_category: -1", "drives.belt.stop_category", "nor -1"},
		{m, "stop_category: 1\n", "stop_category: 0\n", "drives.ram", "a ramp without power"},
		{m, "stop_category: 1\n", "stop_category: 2\n", "drives.ram", "power that stays is not removed"},
		{m, "    stop_category: 1\n", "", "drives.ram", "a ramp of no category"},
		{m, "belt: {stop_category: 0}", "belt: {stop_category: 2, ramp: 1 s}", "", "a ramp of category 2"},
		{m, "belt: {stop_category: 0}", "belt: {measured_on: 2026-03-02}", "drives.belt", "a day without a measurement"},
		{m, "wear_allowance: 20 %", "wear_allowance: 0.2", "", "a factor"},
		{m, "safety_cycle: 20 ms, cycle_watchdog: 40 ms,", "", "controllers.c1", "an execution time without the cycle"},
		{m, "switched_by: [k1]", "switched_by: [k1, k1]", "drives.ram.switched_by", "a device twice"},
		{m, "    demand: [gate, curtain]\n", "", "functions.front.demand", "a function without a demand"},
		{m, "    demand: [gate, curtain]\n", "    demand: [gate, gate]\n", "functions.front.demand", "a demand twice"},
		{m, "required: PL e", "required: PLe", "functions.front.required", "a level without its blank"},
		{m, "required: PL e", "required: SIL 3", "", "a level of the other standard"},
		{m, "required: PL e", "required: PL f", "functions.front.required", "ISO 13849-1 ends at e"},
		{m, "direction: angled", "direction: from above", "functions.front.approach.direction", "no direction of ISO 13855"},
		{m, "direction: angled", "direction: parallel", "functions.front.approach.angle", "an angle without its direction"},
		{m, "      angle: 45°\n", "", "functions.front.approach", "a direction without its angle"},
		{m, "      angle: 45°\n", "      angle: 45\n", "functions.front.approach.angle", "an angle without a unit"},
		{m, "      engaging_points: 4\n", "", "functions.front.approach", "half a clutch"},
		{m, "      revolution_time: 800 ms\n", "", "functions.front.approach", "the other half"},
		{m, "      opening: 12 mm\n", "", "functions.front.approach", "the shape of no opening"},
		{m, "opening_shape: slot", "opening_shape: round", "functions.front.approach.opening_", "a hole has no length"},
		{m, "opening_shape: slot", "opening_shape: oval", "functions.front.approach.opening_shape", "a shape that ISO 13857 does not have"},
		{m, "      opening_shape: slot\n", "", "", "a slot is the default"},
		{m, "hazards: [ram]", "hazards: [ram, ram]", "functions.front.approach.hazards", "a drive twice"},
		{m, "      gate: {distance: 900 mm}", "      front-gate: {distance: 900 mm}", "functions.front.approaches.front-gate", "no name of a device"},
		{m, "    always: true", "    always: {all: true}", "logic.values.always", "a mapping for an expression"},
		{m, "    always: true", `    always: "true"`, "", "an expression in quotes"},
		{m, "    always: true", "    always: >-\n      gate.closed &&\n      gate.locked", "", "an expression on two lines"},
		{m, "    always: true", `    always: ""`, "logic.values.always", "no expression"},
		{m, "    level: {min: 0, max: 3}", "    level: {min: 0}", "logic.inputs.level", "a number without its greatest value"},
		{m, "    level: {min: 0, max: 3}", "    level: {max: 3, one_of: [a, b]}", "logic.inputs.level", "a number and a word"},
		{m, "    mode: {one_of: [manual, automatic]}", "    mode: {one_of: [manual, manual]}", "logic.inputs.mode.one_of", "a word twice"},
		{m, "count: {min: 0, max: 4, initial: 1}", "count: {min: 0}", "logic.counters.count.max", "a counter without its greatest value"},
		{m, "holds: \"!inside || !gate.closed\", ", "", "logic.assume.calm.holds", "what is assumed?"},
		{m, "    always: true", "    ram.run: true", "", "a word of a drive"},
		{m, "    always: true", `    al-ways: "true"`, "logic.values.al-ways", "a value that logic cannot name"},
		{m, "initial: {run: false}", "initial: {run: no}", "logic.initial.run", "a word for a truth value"},
		{m, "until: 2031-12-31", "until: 31.12.2031", "accept.0.until", "a date the other way round"},
		{m, "until: 2031-12-31", "until: 2031-13-01", "accept.0.until", "month 13"},
		{m, "until: 2031-12-31", "until: 1899-12-31", "accept.0.until", "long past"},
		{m, "until: 2031-12-31", "until: '2032-02-29'", "", "a leap day, in quotes"},
		{m, "reason: Measured, ", "", "accept.0.reason", "an acceptance without a reason"},
		{m, "reason: Measured, ", "reason: '', ", "accept.0.reason", "an empty reason"},

		{p, "parts: Parts for the tests\n", "", "parts", "parts without a title"},
		{p, "about: Believable", "machine: Believable", "machine", "a key of machine files"},
		{p, "kind: guard-lock", "kind: Guard lock", "types.devices.lock.kind", "a kind in plain words"},
		{p, "outputs: ossd\n", "outputs: OSSD\n", "types.devices.lock.outputs", "capitals in a word"},
		{p, "channels: 2\n", "channels: two\n", "types.devices.lock.channels", "a word for a number"},
		{p, "channels: 2\n", "channels: 1\n", "types.devices.lock", "one channel cannot be antivalent"},
		{p, "      channels: 2\n", "", "types.devices.lock", "nor can none"},
		{p, "channels: 2\n      antivalent: true", "channels: 1\n      antivalent: false", "", "one channel that isn't"},
		{p, "current: 50 mA, min", "current: 50 mA, power: 1 W, min", "types.devices.lock.loads.electronics", "two ways to draw current"},
		{p, "current: 50 mA, min", "min", "types.devices.lock.loads.electronics", "none"},
		{p, "current: 50 mA, min", "current: 50 ma, min", "types.devices.lock.loads.electronics.current", "a small letter for a capital"},
		{p, "resistance: 64 ohm", "resistance: 64 Ω", "", "the sign for ohm"},
		{p, "capacitance: 47 uF, current: 1 A, duration: 2 ms", "current: 1 A", "types.devices.lock.loads.electronics.inrush", "a current without its time"},
		{p, "capacitance: 47 uF, current: 1 A, duration: 2 ms", "capacitance: 47 µF", "", "a capacitor alone"},
		{p, "capacitance: 47 uF, current: 1 A, duration: 2 ms", "", "types.devices.lock.loads.electronics.inrush", "an inrush of nothing"},
		{p, "inrush: {none: true}", "inrush: {none: false}", "types.devices.contactor.loads.coil.inrush", "an inrush of which nothing is said"},
		{p, "inrush: {none: true}", "inrush: {none: true, current: 1 A}", "types.devices.contactor.loads.coil.inrush", "none, and yet some"},
		{p, "inrush: {none: true}", "inrush: {capacitance: 1 mF, duration: 1 ms}", "types.devices.contactor.loads.coil.inrush", "a time without its current"},
		{p, "inrush: {none: true}", "inrush: {none: false, capacitance: 1 mF}", "", "not none, said so"},
		{p, "        coil: {circuit: actuator, res", "        coil-1: {circuit: actuator, res", "types.devices.lock.loads.coil-1", "a load that rules cannot name"},
		{p, "coding: high", "coding: High", "types.devices.lock.coding", "a capital in a word"},
		{p, "curtain_type: 4", "curtain_type: 2", "", "the lowest type"},
		{p, "curtain_type: 4", "curtain_type: 0", "types.devices.curtain.curtain_type", "no type"},
		{p, "curtain_type: 4", "curtain_type: 1", "types.devices.curtain.curtain_type", "IEC 61496-1 starts at 2"},
		{p, "curtain_type: 4", "curtain_type: 5", "types.devices.curtain.curtain_type", "and ends at 4"},
		{p, "        1-4: {", "        1 - 4: {", "types.modules.mixed_8.ports.1 - 4", "blanks in a range"},
		{p, "        1-4: {", "        1-x: {", "types.modules.mixed_8.ports.1-x", "a range that ends in a name"},
		{p, "        1-4: {", "        '1, 2 ,3': {", "", "blanks in a list"},
		{p, "        1-4: {", "        '1,,2': {", "types.modules.mixed_8.ports.1,,2", "a list with a hole"},
		{p, "        1-4: {", "        1-3,4: {", "", "a range in a list"},
		{p, "        1-4: {", "        -4: {", "types.modules.mixed_8.ports.-4", "a range from nowhere"},
		{p, "        1-4: {", "        01: {", "types.modules.mixed_8.ports.01", "a port with a zero in front"},
		{p, "      cores: 5\n      section", "      cores: 0\n      section", "types.cables.sensor_5.cores", "no core"},
		{p, "contacts: 5, connector", "contacts: 0, connector", "types.modules.mixed_8.ports.1-4.contacts", "no contact"},
		{p, "{kind: electronic, rated: 2 A}", "{kind: electronic, rated: 2 A, melt_max: 0 A²s}", "types.protections.electronic_2.melt_max", "a melting integral of nothing"},
		{p, "contacts: 5, connector", "contacts: -5, connector", "types.modules.mixed_8.ports.1-4.contacts", "less than no contact"},
		{p, "inputs: 2, outputs: 0", "inputs: -1, outputs: 0", "types.modules.mixed_8.ports.1-4.inputs", "less than no input"},
		{p, "queues: [0, 0, 0, 0, 1, 1, 1, 1]", "queues: [0, 0, 0, 0, 1, 1, 1]", "types.modules.mixed_8.forwarding.queues", "7 queues"},
		{p, "queues: [0, 0, 0, 0, 1, 1, 1, 1]", "queues: [0, 0, 0, 0, 1, 1, 1, 1, 1]", "types.modules.mixed_8.forwarding.queues", "9 queues"},
		{p, "queues: [0, 0, 0, 0, 1, 1, 1, 1]", "queues: [0, 0, 0, 0, 1, 1, 1, 8]", "types.modules.mixed_8.forwarding.queues", "queue 8"},
		{p, "method: cut-through", "method: on-the-fly", "types.modules.mixed_8.forwarding", "queues where nothing waits"},
		{p, "{method: cut-through, latency: 3 us,", "{method: cut-through,", "types.modules.mixed_8.forwarding.latency", "a delay left out"},
		{p, "network_rates: {p4: 1 Gbit/s}", "network_rates: {p4: 1 Gbps}", "types.switches.switch_4.network_rates.p4", "another way to write it"},
		{p, "ring_protocols: [dlr, mrp]", "ring_protocols: [dlr, dlr]", "types.controllers.controller.ring_protocols", "a protocol twice"},
		{p, "ring_protocols: [dlr, mrp]", "ring_protocols: [dlr, stp]", "types.controllers.controller.ring_protocols", "no such protocol"},
		{p, "        ossd_pair: {", "        ossd pair: {", "types.modules.mixed_8.sets.ossd pair", "a set that rules cannot name"},
		{p, "for: ossd, channels: 2,", "for: ossd, channels: 1,", "types.modules.mixed_8.sets.ossd_pair", "one channel cannot be antivalent"},
		{p, "network_ports: [p1, p2]\n      max_in_line", "network_ports: [p1, p1]\n      max_in_line", "types.modules.mixed_8.network_ports", "a port twice"},
		{p, "ends: [m12_5, m12_5]", "ends: [m12_5, m12_5, m12_5]", "types.cables.sensor_5.ends", "a cable with three ends"},
		{p, "section: AWG 14", "section: 14 AWG", "", "the other order"},
		{p, "section: AWG 14", "section: awg 14", "types.cables.wire_2_5.section", "small letters"},
		{p, "section: AWG 14", "section: AWG 57", "types.cables.wire_2_5.section", "ASTM B258 ends at 56"},
		{p, "section: AWG 14", "section: 14", "types.cables.wire_2_5.section", "a number for a gauge"},
		{p, "resistance: 57 ohm/km", "resistance: 57 mohm/m", "", "the same in another unit"},
		{p, "{at: 20 °C, current: 5 A}", "{current: 5 A}", "types.connectors.m12_5.base_curve.0.at", "a point without its temperature"},
		{p, "{at: 20 °C, current: 5 A}", "{at: 0 °C, current: 5 A}", "", "a point at 0 °C"},
		{p, "derating: 80 %", "derating: '80'", "types.connectors.m12_5.derating", "also as a text"},
		{p, "derating: 80 %", "derating: -0.8", "types.connectors.m12_5.derating", "less than nothing"},
		{p, "derating: 80 %", "derating: '0.8'", "", "a factor in quotes"},
		{p, "separation: PELV", "separation: pelv", "types.supplies.supply_20.separation", "small letters"},
		{p, "      min: 23.8 V\n", "", "types.supplies.supply_20.min", "a supply without its lowest voltage"},
		{p, "boost: {current: 60 A, duration: 50 ms}", "boost: {current: 60 A}", "types.supplies.supply_20.boost", "a boost without its time"},
		{p, "rated: 6 A, characteristic: C, dc", "rated: 6 A, dc", "types.protections.breaker_c6", "a breaker without its band"},
		{p, "characteristic: C", "characteristic: K", "types.protections.breaker_c6.characteristic", "no band of IEC 60898-1"},
		{p, "{kind: electronic, rated: 2 A}", "{kind: electronic, rated: 2 A, characteristic: B}", "types.protections.electronic_2", "a band without a breaker"},
		{p, "{kind: electronic, rated: 2 A}", "{kind: electronic, rated: 2 A, dc_factor: 1.5}", "types.protections.electronic_2", "a factor without a breaker"},
		{p, "{kind: electronic, rated: 2 A}", "{kind: electronic, rated: 2 A, melt_max: 60 A²s}", "types.protections.electronic_2", "a melting integral without a fuse"},
		{p, "{kind: electronic, rated: 2 A}", "{kind: fuse, rated: 2 A}", "types.protections.electronic_2.kind", "no such principle"},
		{p, "rated: 1 A, temperature_table: [{at: 25 °C, ratio: 100 %}, {at: 60 °C, ratio: 70 %}]", "rated: 1 A", "types.protections.thermistor_1", "a thermistor without its table"},
		{p, "holds_while_differing: true, test_pulse: 500 us, off_delay: 1 ms, filter: 3 ms, discrepancy: 100 ms", "holds_while_differing: true", "types.modules.mixed_8.sets.ossd_pair", "for how long is it held?"},
		{p, "melt_min: 20 A²s", "melt_min: 20 kA²s", "types.protections.fuse_4.melt_min", "a unit with two meanings"},
		{p, "max_connections: 64", "max_connections: 1", "", "one connection"},

		{r, "format: 1\npack", "format: 2\npack", "format", "a format of the future"},
		{r, "pack: Rules for the tests\n", "", "pack", "a pack without a title"},
		{r, "pack: Rules for the tests", "pack: 2031", "", "a title that looks like a number"},
		{r, "  port-current:", "  port_current:", "rules.port_current", "an underscore in an id"},
		{r, "  port-current:", "  Port-Current:", "rules.Port-Current", "capitals in an id"},
		{r, "  port-current:", "  port--current:", "rules.port--current", "two hyphens in an id"},
		{r, "  port-current:", "  1-port:", "rules.1-port", "an id that starts with a digit"},
		{r, "  port-current:", "  port-2-current:", "", "an id with a number in it"},
		{r, "    for: module\n", "", "rules.one-subnet.for", "for what?"},
		{r, "    for: module\n", "    for: modules\n", "rules.one-subnet.for", "the plural of a kind"},
		{r, "    for: module\n", "    for: module_type\n", "rules.one-subnet.for", "no object of its own"},
		{r, "    severity: warning", "    severity: Warning", "rules.one-subnet.severity", "a capital in a word"},
		{r, "    severity: warning", "    severity: info", "rules.one-subnet.severity", "no such word"},
		{r, "    severity: warning", "    severity: advice", "", "the mildest word"},
		{r, "\n    severity: warning", "", "rules.one-subnet.severity", "how grave is it?"},
		{r, "    say: module {module} has the address {module.address}\n", "", "rules.one-subnet", "a rule without a message"},
		{r, "    say: module {module} has the address {module.address}\n", "    say: 5\n", "", "a short message"},
		{r, "    require: port.limit >= mA(500)\n", "", "rules.port-current", "a rule without a condition"},
		{r, "    require: port.limit >= mA(500)\n", "    require: >-\n      port.limit\n      >= mA(500)\n", "", "a condition on two lines"},
		{r, "    require: port.limit >= mA(500)\n", "    require: [port.limit >= mA(500)]\n", "rules.port-current.require", "a list for a condition"},
		{r, "    require: port.limit >= mA(500)\n", "    require: port.limit >= mA(500)\n    always: port.limit >= mA(500)\n", "rules.port-current", "one of require"},
		{r, "    require: port.limit >= mA(500)\n", "    requires: port.limit >= mA(500)\n", "rules.port-current.requires", "a misspelled key"},
		{r, "when: has(port.device) && has(port.limit)", "when: ''", "rules.port-current.when", "an empty condition"},
		{r, "related: [port.device]", "related: ['']", "rules.port-current.related", "an object that is nothing"},
		{r, "related: [port.device]", "related: port.device", "rules.port-current.related", "a text for a list"},
		{r, "file: small.yaml, ", "", "rules.port-current.cases.0", "a case without a machine"},
		{r, "      - about: A large port", "      - file: small.yaml", "rules.port-current.cases.1", "a case with two machines"},
		{r, "finds: [modules.m1.ports.1], ", "", "rules.port-current.cases.0", "messages of no finding"},
		{r, "says: [gives]", "says: []", "", "no messages asked for"},
		{r, "says: [gives]", "says: gives", "rules.port-current.cases.0.says", "a text for a list"},
	}
}

// onlyLoader are changes that the loader refuses and a schema cannot see.
func onlyLoader() []change {
	const m, p, r = "machine.yaml", "parts.yaml", "rules.yaml"
	return []change{
		{m, "type: lock, zone", "type: latch, zone", "devices.gate.type", "a name that refers to nothing"},
		{m, "      2: {device: detector_1}", "      2: {device: gate}", "modules.m2.ports.2", "one device at two ports"},
		{m, "      2: {device: detector_1}", "      9: {device: detector_1}", "modules.m2.ports.9", "a port that the type does not have"},
		{m, "  k1: {type: contactor,", "  c1: {type: contactor,", "devices.c1", "one name for two objects"},
		{m, "    q1: {type: breaker_c6, from: ps1,", "    q1: {type: breaker_c6, from: q1,", "power.protections.q1", "a loop"},
		{m, "    f3: {to: c1, sensor: {from: q1}}", "    f3: {to: m1, sensor: {from: q1}}", "power.feeds.f3", "a second source"},
		{m, "from: m2.p2, to: c1.p2", "from: m2.p2, to: m1.p2", "network.links", "two links at one port"},
		{m, "subnet: 10.8.3.0/24", "subnet: 10.8.3.1/24", "network.subnet", "a host for a subnet"},
		{m, "closed_ports: [p2, p3]", "closed_ports: [p2, p4]", "switches.s1.closed_ports", "a closed port in use"},
		{p, "pins: {1: pulse-1, 3: zero}", "pins: {1: pulse-1, 6: zero}", "types.modules.mixed_8.ports.1-4.pins.6", "more contacts than there are"},
		{p, "colours: {pressed: red,", "colours: {pushed: red,", "types.devices.stop.colours.pushed", "a signal that the kind does not have"},
		{m, "until: 2031-12-31", "until: 2031-02-30", "accept.0.until", "a day that the month does not have"},
		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {min: 50 °C, max: 40 °C}\n", "ambient", "the lowest above the highest"},
		{m, "ambient: {min: 5 °C, max: 40 °C}\n", "ambient: {min: -300 °C, max: 40 °C}\n", "ambient", "below absolute zero"},
		{m, "length: 5 m, joints", "length: 0 m, joints", "modules.m1.ports.1.cable.length", "no length"},
		{m, "    f2: {from: m1, to: m2,", "    f2: {from: m1, sensor: {plus_cores: 2}, actuator: {}, to: m2,", "power.feeds.f2", "more cores than the cable has"},
		{m, "length: 5 m, joints", "length: 1e999 m, joints", "modules.m1.ports.1.cable.length", "more than a float64 holds"},
		{m, "length: 5 m, joints", "length: " + strings.Repeat("0", 128) + "5 m, joints", "modules.m1.ports.1.cable.length", "longer than 128 bytes"},
		{m, "safety_address: 21", "safety_address: 0x15", "modules.m1.safety_address", "hexadecimal digits"},
		{m, "safety_address: 21", "safety_address: 021", "modules.m1.safety_address", "a zero in front"},
		{m, "safety_address: 21", "safety_address: 21.0", "modules.m1.safety_address", "a decimal point: 21.0 and 21 are one number in JSON"},
		{m, "whole_body: true", "whole_body: True", "zones.press.whole_body", "a capital in true"},
		{m, "about: Two zones", "about: !!str Two zones", "about", "a tag"},
		{m, "      2: {device: detector_1}", "      true: {device: detector_1}", "modules.m2.ports", "a key that YAML takes for a truth value"},
		{p, "rating: 16 A, derating: 0.8", "rating: 16 A, derating: 1", "types.connectors.m12_l5.derating", "a bare whole number: it may be 1 % or 100 %"},
		{p, "rating: 16 A, derating: 0.8", "rating: 16 A, derating: 1e-1", "types.connectors.m12_l5.derating", "a bare number without a point"},
		{p, "rating: 16 A, derating: 0.8", "rating: 16 A, derating: .8", "types.connectors.m12_l5.derating", "no digit before the point"},
		{p, "derating: 80 %", "derating: 80", "types.connectors.m12_5.derating", "a number without its sign"},
		{p, "        1-4: {", "        4-1: {", "types.modules.mixed_8.ports", "a range that falls"},
		{p, "        1-4: {", "        1-400: {", "types.modules.mixed_8.ports", "more ports than any module has"},
		{p, "        5,7: {", "        4,7: {", "types.modules.mixed_8.ports", "a port in two entries"},
		{p, "{at: 80 °C, current: 2 A}", "{at: 20 °C, current: 2 A}", "types.connectors.m12_5.base_curve", "a table that does not rise"},
		{r, "require: port.limit >= mA(500)", "require: port.limit >= mV(500)", "rules.port-current.require", "amperes against volts"},
		{r, "require: port.limit >= mA(500)", "require: port.limit >=", "rules.port-current.require", "half an expression"},
		{r, "require: port.limit >= mA(500)", "require: true", "rules.port-current.require", "a condition that never finds anything"},
		{r, "say: port {port} gives", "say: port {prot} gives", "rules.port-current.say", "a misspelled name in a message"},
	}
}

// reservedNames makes a change for each word of CEL.
func reservedNames() []change {
	var out []change
	for _, word := range strings.Fields("as break const continue else false for function if import in let loop namespace null package return true var void while") {
		out = append(out, change{"machine.yaml", "  k1: {type: contactor, zone: cabinet}",
			fmt.Sprintf("  k1: {type: contactor, zone: cabinet}\n  %q: {type: stop}", word), "devices." + word, "a word of CEL"})
	}
	return out
}

// judges are the validators of the files that are changed, by both readings of the schema.
func judges(t *testing.T) map[string][]*jsonschema.Schema {
	t.Helper()
	out := map[string][]*jsonschema.Schema{}
	for _, draft := range []string{draft2020, draft07} {
		out["machine.yaml"] = append(out["machine.yaml"], compile(t, schema.Machine(), draft))
		out["parts.yaml"] = append(out["parts.yaml"], compile(t, schema.Parts(), draft))
		out["rules.yaml"] = append(out["rules.yaml"], compile(t, schema.Rules(), draft))
		out["record.yaml"] = append(out["record.yaml"], compile(t, schema.Record(), draft))
	}
	return out
}

// judge returns where the loader and the schema find fault with a changed file. Both readings of the schema must
// find the same.
func judge(t *testing.T, c change, validators []*jsonschema.Schema) (loader, validator []string) {
	t.Helper()
	text := c.apply(t)
	if err := load(t, c.file, text); err != nil {
		var problems source.Problems
		if !errors.As(err, &problems) {
			t.Fatal(err)
		}
		for _, p := range problems {
			loader = append(loader, p.Path)
		}
	}
	v, err := instance(text)
	if err != nil {
		t.Fatalf("%s: %v", c.put, err)
	}
	validator = places(validators[0].Validate(v))
	if other := places(validators[1].Validate(v)); !slices.Equal(sorted(other), sorted(validator)) {
		t.Errorf("read as draft-07, the schema finds fault at %q, else at %q", other, validator)
	}
	return loader, validator
}

func sorted(list []string) []string { return slices.Sorted(slices.Values(list)) }

// near tells whether a fault was found at a path, in its mapping or in a part of it.
func near(found []string, path string) bool {
	return slices.ContainsFunc(found, func(f string) bool {
		f = strings.ReplaceAll(f, `"`, "") // a model's path has quotes around keys such as "ring 1"
		if key, ok := strings.CutPrefix(f, anywhere); ok {
			return strings.HasSuffix(path, "."+key)
		}
		return (f != "" || !strings.Contains(path, ".")) && (strings.HasPrefix(path, f) || strings.HasPrefix(f, path))
	})
}

func TestAgreed(t *testing.T) {
	validators := judges(t)
	for _, c := range append(agreed(), reservedNames()...) {
		loader, validator := judge(t, c, validators[c.file])
		switch {
		case c.path == "" && len(loader)+len(validator) > 0:
			t.Errorf("%s: %s: the loader finds fault at %q, the schema at %q", c.put, c.reason, loader, validator)
		case c.path != "" && !near(loader, c.path):
			t.Errorf("%s: %s: the loader finds fault at %q", c.put, c.reason, loader)
		case c.path != "" && !near(validator, c.path):
			t.Errorf("%s: %s: the schema finds fault at %q", c.put, c.reason, validator)
		}
	}
}

func TestOnlyLoader(t *testing.T) {
	validators := judges(t)
	for _, c := range onlyLoader() {
		loader, validator := judge(t, c, validators[c.file])
		if !near(loader, c.path) {
			t.Errorf("%s: %s: the loader finds fault at %q", c.put, c.reason, loader)
		}
		if len(validator) > 0 {
			t.Errorf("%s: %s: the schema finds fault too, at %q: move it to agreed", c.put, c.reason, validator)
		}
	}
}
