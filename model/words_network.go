package model

// AddressSwitches says what the switches on a module set.
type AddressSwitches string

// What switches on a module set.
const (
	NoAddressSwitches     AddressSwitches = "none"           // the module has none
	LastByteSwitches      AddressSwitches = "address"        // last byte of the IPv4 address
	SafetyAddressSwitches AddressSwitches = "safety-address" // safety address
)

// Values lists what switches on a module set.
func (AddressSwitches) Values() []string {
	return []string{string(NoAddressSwitches), string(LastByteSwitches), string(SafetyAddressSwitches)}
}

// PlantLink is what stands between the network of a machine and those outside of it.
type PlantLink string

// What stands between networks.
const (
	PlantNone     PlantLink = "none"     // they are not joined
	PlantFirewall PlantLink = "firewall" // firewall that lets pass what is needed only
	PlantRouter   PlantLink = "router"   // router between two subnets
	PlantDirect   PlantLink = "direct"   // nothing: one network
)

// Values lists what stands between networks.
func (PlantLink) Values() []string {
	return []string{string(PlantNone), string(PlantFirewall), string(PlantRouter), string(PlantDirect)}
}
