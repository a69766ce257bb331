package solid

// Sources of speeds of sound.
const (
	tables   = "CRC Handbook, speed of sound in various media; lists of non-destructive testing"
	plastic  = "Selfridge, IEEE Trans. SU-32 (1985) 381, and lists of plastics, from memory"
	ndt      = "lists of non-destructive testing, from memory"
	practice = "common practice, no source"
	handbook = "handbook values, from memory"
	makers   = "handbook values of plastics, from memory; the modulus is that of short loads, and of longer ones less"
)

const zeroC = 273.15

// about is a value with its least and most.
func about(value, least, most float64) Spread { return Spread{Value: value, Least: least, Most: most} }

// micro is a coefficient of expansion in 10⁻⁶/K, giga a modulus in GPa.
func micro(value, least, most float64) Spread { return about(value*1e-6, least*1e-6, most*1e-6) }
func giga(value, least, most float64) Spread  { return about(value*1e9, least*1e9, most*1e9) }

var none Spread

// between are temperatures in °C.
func (m Material) between(least, most float64) Material {
	m.LeastK, m.MostK = zeroC+least, zeroC+most
	return m
}

// materials: shear and longitudinal speed, expansion, modulus. The spread is that of the
// tables named; where one table alone has a value, 2 % to 5 % as such tables differ.
var materials = []Material{
	Material{"carbon steel", about(3230, 3195, 3255), about(5900, 5842, 5960), tables,
		micro(11.7, 11.0, 12.5), giga(207, 200, 212), 0.29, handbook, 0, 0}.between(-50, 200),
	Material{"stainless steel", about(3120, 3048, 3140), about(5740, 5613, 5790), tables,
		micro(16.5, 15.5, 17.5), giga(193, 190, 200), 0.29, handbook, 0, 0}.between(-50, 200),
	Material{"ductile iron", about(3200, 3055, 3250), about(5600, 5480, 5700), ndt,
		micro(11.0, 10.0, 12.5), giga(169, 160, 175), 0.275, handbook, 0, 0}.between(-50, 200),
	Material{"grey cast iron", about(2600, 2210, 3200), about(4600, 3505, 5588), tables,
		micro(10.5, 9.5, 12.0), giga(110, 80, 140), 0.26, handbook, 0, 0}.between(-50, 200),
	Material{"copper", about(2260, 2205, 2340), about(4700, 4485, 5010), tables,
		micro(16.8, 16.4, 17.3), giga(117, 110, 128), 0.34, handbook, 0, 0}.between(-50, 150),
	Material{"brass", about(2110, 2030, 2120), about(4430, 4280, 4700), tables,
		micro(19.5, 18.0, 21.0), giga(105, 97, 115), 0.34, handbook, 0, 0}.between(-50, 150),
	Material{"aluminium", about(3100, 3040, 3150), about(6320, 6149, 6420), tables,
		micro(23.4, 22.5, 24.0), giga(68.9, 68, 73), 0.33, handbook, 0, 0}.between(-50, 150),
	Material{"titanium", about(3125, 3120, 3302), about(6070, 6070, 6172), tables,
		micro(8.6, 8.4, 9.0), giga(110, 103, 116), 0.34, handbook, 0, 0}.between(-50, 200),
	Material{"lead", about(700, 690, 813), about(2160, 1960, 2200), tables,
		micro(29, 28, 29.5), giga(16, 14, 18), 0.44, handbook, 0, 0}.between(-20, 60),
	Material{"PVC", about(1060, 917, 1100), about(2395, 2247, 2420), plastic,
		micro(70, 55, 85), giga(3.3, 2.4, 3.5), 0.40, makers, 0, 0}.between(0, 60),
	Material{"CPVC", about(1060, 950, 1150), about(2400, 2250, 2450), practice,
		micro(65, 60, 75), giga(2.9, 2.2, 3.1), 0.40, makers, 0, 0}.between(0, 95),
	Material{"polyethylene", none, about(2430, 2090, 2460), plastic,
		micro(180, 130, 220), giga(1.1, 0.4, 1.2), 0.45, makers, 0, 0}.between(-20, 60),
	Material{"polypropylene", none, about(2740, 2600, 2760), plastic,
		micro(150, 110, 170), giga(1.3, 0.6, 1.6), 0.42, makers, 0, 0}.between(0, 90),
	Material{"PVDF", none, about(2300, 2200, 2350), plastic,
		micro(120, 100, 140), giga(2.0, 1.2, 2.4), 0.38, makers, 0, 0}.between(-20, 120),
	Material{"ABS", none, about(2230, 2170, 2270), plastic,
		micro(90, 70, 110), giga(2.2, 1.4, 2.4), 0.38, makers, 0, 0}.between(-20, 60),
	Material{"acrylic", about(1260, 1100, 1400), about(2700, 2680, 2750), tables,
		micro(70, 60, 80), giga(3.0, 2.4, 3.3), 0.37, makers, 0, 0}.between(0, 60),
	Material{"glass-fibre reinforced plastic", none, about(2430, 2300, 2740), practice,
		micro(20, 10, 30), giga(18, 10, 25), 0.30, makers, 0, 0}.between(-20, 100),
	Material{"glass", about(3420, 2840, 3430), about(5660, 5100, 5710), tables,
		micro(6, 3.2, 9.5), giga(65, 60, 75), 0.22, handbook, 0, 0}.between(-50, 150),
	Material{"asbestos cement", none, about(2200, 2090, 2310), practice,
		micro(9, 7, 12), giga(24, 18, 30), 0.20, handbook, 0, 0}.between(-20, 60),
	Material{"concrete", about(2500, 2200, 2700), about(4250, 3700, 5250), ndt,
		micro(10, 8, 13), giga(30, 20, 40), 0.20, handbook, 0, 0}.between(-20, 60),
	{"cement mortar", about(2500, 1500, 2600), about(4190, 2500, 4300), practice, none, none, 0, "", 0, 0},
	{"epoxy", about(1200, 1150, 1250), about(2600, 2450, 2680), plastic, none, none, 0, "", 0, 0},
	{"rubber", none, about(1600, 1480, 2300), tables + "; soft to vulcanised", none, none, 0, "", 0, 0},
	{"bitumen", none, about(2000, 1900, 2100), practice, none, none, 0, "", 0, 0},
}
