package model

// Logic is the interlock logic of a machine.
type Logic struct {
	Origin
	LogicSpec
	// Controller runs the logic; nil when the machine has none.
	Controller *Controller
	// Inputs are the signals that no device gives, by name.
	Inputs []*LogicInput
	// Values are in the order of the file, in which they are computed, or of their names in a machine built in Go, where
	// each is computed after those that it needs. After them stand the values of blocks, by name of the block; each is
	// computed where it is needed.
	Values []*LogicValue
	// Assume are the assumptions, by name.
	Assume []*Assumption
}

// LogicType is the type of a signal or value of the interlock logic.
type LogicType struct {
	// Words are the words of which it is one; nil when it is no word.
	Words []string
	// Number is true for a whole number from Min to Max. A signal that is neither word nor number is true or false.
	Number   bool
	Min, Max int
}

// LogicInput is a signal that no device gives.
type LogicInput struct {
	Origin
	LogicInputSpec
	LogicType
}

// LogicValue is one value that the logic computes.
type LogicValue struct {
	Origin
	Expression Expression
	LogicType
	// Initial is the value before the first cycle: 0 and 1 of a truth value, the number, or the place in Words.
	Initial int
	// Owner is the path of the object that the value belongs to, such as devices.g1, and Word its word there, such as
	// release; both are empty for a value with a name of its own.
	Owner, Word string
	// Block is the name of the block that the value comes from; empty for a value under logic.values.
	Block string
}

// Assumption is an assumption about the world.
type Assumption struct {
	Origin
	AssumeSpec
}
