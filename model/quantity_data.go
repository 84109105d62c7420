package model

// DataRate is the rate at which a network carries data, in bit per second. Prefixes are decimal.
type DataRate float64

// BitsPerSecond is a data rate of n bit per second.
func BitsPerSecond(n float64) DataRate { return DataRate(n) }

// MegabitsPerSecond is a data rate of n·10⁶ bit per second, the same float64 as the text "n Mbit/s".
func MegabitsPerSecond(n float64) DataRate { return DataRate(unitSpec{exp: 6}.of(n)) }

// ParseDataRate reads a text such as "100 Mbit/s". Its error is a [*QuantityError].
func ParseDataRate(text string) (DataRate, error) {
	return parseQuantity[DataRate](dataRateSpec(), text)
}

// String is a text that [ParseDataRate] reads as exactly x.
func (x DataRate) String() string { return printQuantity(dataRateSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x DataRate) Format(significant int) string {
	return roundQuantity(dataRateSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x DataRate) MarshalText() ([]byte, error) { return marshalQuantity(dataRateSpec(), x) }

// UnmarshalText is [ParseDataRate]; after an error x is unchanged.
func (x *DataRate) UnmarshalText(text []byte) error {
	return unmarshalQuantity(dataRateSpec(), x, text)
}

func dataRateSpec() quantitySpec {
	return quantitySpec{
		name: "DataRate",
		noun: "data rate", base: "bit/s",
		units: []unitSpec{
			{text: "bit/s", words: "bps bits/s bit/sec"},
			{text: "kbit/s", exp: 3, words: "kbps kbits/s kbit/sec"},
			{text: "Mbit/s", exp: 6, words: "Mbps Mbits/s Mbit/sec"},
			{text: "Gbit/s", exp: 9, words: "Gbps Gbits/s Gbit/sec"},
		},
		examples: []string{"100 Mbit/s", "1 Gbit/s"},
	}
}

// DataSize is an amount of data in byte (octets). k, M and G are decimal, Ki and Mi are 2¹⁰ and 2²⁰
// (IEC 80000-13).
type DataSize float64

// Bytes is a data size of n byte.
func Bytes(n float64) DataSize { return DataSize(n) }

// ParseDataSize reads a text such as "64 B", "1500 byte" or "16 bit". Its error is a [*QuantityError].
func ParseDataSize(text string) (DataSize, error) {
	return parseQuantity[DataSize](dataSizeSpec(), text)
}

// String is a text that [ParseDataSize] reads as exactly x.
func (x DataSize) String() string { return printQuantity(dataSizeSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x DataSize) Format(significant int) string {
	return roundQuantity(dataSizeSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x DataSize) MarshalText() ([]byte, error) { return marshalQuantity(dataSizeSpec(), x) }

// UnmarshalText is [ParseDataSize]; after an error x is unchanged.
func (x *DataSize) UnmarshalText(text []byte) error {
	return unmarshalQuantity(dataSizeSpec(), x, text)
}

func dataSizeSpec() quantitySpec {
	return quantitySpec{
		name: "DataSize",
		noun: "data size", base: "B",
		units: []unitSpec{
			{text: "bit", div: 8, words: "bits"},
			{text: "B", also: "byte bytes", words: "Byte Bytes octet octets"},
			{text: "kB", exp: 3, words: "kbyte kilobyte kilobytes"},
			{text: "KiB", mul: 1 << 10, words: "kibibyte kibibytes"},
			{text: "MB", exp: 6, words: "Mbyte megabyte megabytes"},
			{text: "MiB", mul: 1 << 20, words: "mebibyte mebibytes"},
			{text: "GB", exp: 9, words: "Gbyte gigabyte gigabytes"},
		},
		shown: []shownUnit{ // frames are given as 1500 B
			{text: "GB", from: 1e9}, {text: "MB", from: 1e6}, {text: "kB", from: 1e4}, {text: "B"},
		},
		examples: []string{"64 B", "1500 byte", "16 bit"},
	}
}
