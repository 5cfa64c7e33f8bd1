package timeline

import "math"

// SphericalEquivalent is sphere + cylinder/2, in dioptres. Source: common practice.
func SphericalEquivalent(sphere, cylinder float64) float64 { return sphere + cylinder/2 }

// PowerVector is a refraction as three independent numbers in dioptres.
type PowerVector struct {
	M   float64 `json:"m"` // spherical equivalent
	J0  float64 `json:"j0"`
	J45 float64 `json:"j45"`
}

// Vector turns sphere, cylinder (dioptres) and axis (degrees) into a power vector: J0 = -(C/2) cos 2a,
// J45 = -(C/2) sin 2a. Source: Thibos LN et al. 1997, from memory.
func Vector(sphere, cylinder, axis float64) PowerVector {
	angle := 2 * axis * math.Pi / 180
	return PowerVector{SphericalEquivalent(sphere, cylinder), -cylinder / 2 * math.Cos(angle), -cylinder / 2 * math.Sin(angle)}
}

// KeratometricPower is the power in dioptres of a corneal radius in mm: 337.5 / radius. Source: common practice
// (keratometric index 1.3375).
func KeratometricPower(radius float64) float64 { return 337.5 / radius }
