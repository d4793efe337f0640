package soil

import (
	"fmt"
	"slices"
	"strings"
)

// A Texture is a class of the USDA texture triangle and what tables say of the
// soils in it. Soils of one class differ widely: conductivity by ten times and
// more.
type Texture struct {
	Name string

	// Rawls, Brakensiek & Miller (1983), table 2, the means of the class by
	// name. From memory; the silt loam reproduces worked examples, and the
	// suctions follow from the pore-size indices by the authors' formula.
	Porosity  float64 // all of the pores, share of the volume
	Effective float64 // the pores that fill and drain, share of the volume
	Suction   float64 // at the wetting front, mm
	K         float64 // of Green-Ampt: about half the saturated one, for entrapped air, mm/h

	// Rawls, Brakensiek & Saxton (1982), table 2, geometric means and water
	// held at 33 and 1500 kPa, from memory.
	PoreIndex     float64 // of Brooks and Corey, λ
	FieldCapacity float64 // share of the volume
	WiltingPoint  float64 // share of the volume

	// Saturated conductivity, mm/h: class average of the Rosetta data of the
	// U.S. Salinity Laboratory, seen in a reprint.
	Ksat float64

	// Group by TR-55 (1986), appendix A, from memory.
	Group Group
}

// textures are the twelve classes, coarse to fine. Rawls has no silt: it is
// given what silt loam has, but for its own Ksat.
var textures = []Texture{
	{"sand", 0.437, 0.417, 49.5, 117.8, 0.591, 0.091, 0.033, 267.79, GroupA},
	{"loamy sand", 0.437, 0.401, 61.3, 29.9, 0.474, 0.125, 0.055, 43.83, GroupA},
	{"sandy loam", 0.453, 0.412, 110.1, 10.9, 0.322, 0.207, 0.095, 15.95, GroupA},
	{"loam", 0.463, 0.434, 88.9, 3.4, 0.220, 0.270, 0.117, 5.02, GroupB},
	{"silt loam", 0.501, 0.486, 166.8, 6.5, 0.211, 0.330, 0.133, 7.60, GroupB},
	{"silt", 0.501, 0.486, 166.8, 6.5, 0.211, 0.330, 0.133, 18.23, GroupB},
	{"sandy clay loam", 0.398, 0.330, 218.5, 1.5, 0.250, 0.255, 0.148, 5.49, GroupC},
	{"clay loam", 0.464, 0.309, 208.8, 1.0, 0.194, 0.318, 0.197, 3.41, GroupD},
	{"silty clay loam", 0.471, 0.432, 273.0, 1.0, 0.151, 0.366, 0.208, 4.63, GroupD},
	{"sandy clay", 0.430, 0.321, 239.0, 0.6, 0.168, 0.339, 0.239, 4.73, GroupD},
	{"silty clay", 0.479, 0.423, 292.2, 0.5, 0.127, 0.387, 0.250, 4.01, GroupD},
	{"clay", 0.475, 0.385, 316.3, 0.3, 0.131, 0.396, 0.272, 6.15, GroupD},
}

// Textures is every class, coarse to fine.
func Textures() []Texture { return slices.Clone(textures) }

// FindTexture is the class of that name, in any case and spacing. An unknown
// one is an error that offers the nearest.
func FindTexture(name string) (Texture, error) {
	key := strings.Join(words(name), " ")
	names := make([]string, len(textures))
	for i, t := range textures {
		if t.Name == key {
			return t, nil
		}
		names[i] = t.Name
	}
	return Texture{}, fmt.Errorf("%s is not a soil texture; the nearest is %q, and known are %s and %s",
		quote(name), nearest(name, names), strings.Join(names[:len(names)-1], ", "), names[len(names)-1])
}

// texture is the class that stands for a group: those for which a state's
// manual gives design rates by group.
func (g Group) texture() Texture {
	return must(FindTexture([4]string{"sandy loam", "loam", "sandy clay loam", "silty clay"}[g]))
}
