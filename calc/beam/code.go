package beam

import "rillmark/calc/fault"

// Errors: the input cannot be computed with. The field is the input's name.
var (
	// NotFinite: the value is NaN or infinite.
	NotFinite = fault.Define("beam.not-finite")
	// NotPositive: the value must be greater than zero.
	NotPositive = fault.Define("beam.not-positive", fault.N("value"))
	// Negative: the value must not be below zero.
	Negative = fault.Define("beam.negative", fault.N("value"))
	// WallBeyondRadius: the wall leaves no bore.
	WallBeyondRadius = fault.Define("beam.wall-beyond-radius", fault.N("wall_mm"), fault.N("radius_mm"))
	// LinerBeyondBore: the liner fills the pipe.
	LinerBeyondBore = fault.Define("beam.liner-beyond-bore", fault.N("liner_mm"), fault.N("radius_mm"))
	// NoTraverse: the beam must cross the fluid at least once.
	NoTraverse = fault.Define("beam.no-traverse", fault.C("traverses"))
	// UnknownWave: the wave in the wall is neither shear nor longitudinal.
	UnknownWave = fault.Define("beam.unknown-wave", fault.T("wave"))
	// WedgeAngleRange: the wedge angle does not lie between 0° and 90°.
	WedgeAngleRange = fault.Define("beam.wedge-angle-range", fault.N("angle_deg"))
	// TotalReflection: the beam does not enter the layer; it would up to the critical wedge angle.
	TotalReflection = fault.Define("beam.total-reflection", fault.T("layer"), fault.N("critical_angle_deg"))
	// UnknownWay: the way in which the reference finds the sound speed is not known.
	UnknownWay = fault.Define("beam.unknown-way", fault.T("way"))
	// NothingMeasured: a reference that is given the sound speed measures none.
	NothingMeasured = fault.Define("beam.nothing-measured", fault.T("way"))
	// TransitTimeShort: sound cannot cross this pipe so soon.
	TransitTimeShort = fault.Define("beam.transit-time-short", fault.N("transit_time_us"), fault.N("least_us"))
	// SpacingShort: the beam would leave the pipe behind the point where it entered.
	SpacingShort = fault.Define("beam.spacing-short", fault.N("spacing_mm"), fault.N("least_mm"))
	// VelocityBeyondSound: the flow is not slower along the beam than sound.
	VelocityBeyondSound = fault.Define("beam.velocity-beyond-sound", fault.N("velocity_m_s"))
	// ToleranceRange: a tolerance does not lie between 0 and 100 %.
	ToleranceRange = fault.Define("beam.tolerance-range", fault.N("percent"))
	// TolerancesCrossed: the company's tolerance is above the greatest useful one.
	TolerancesCrossed = fault.Define("beam.tolerances-crossed", fault.N("company_percent"), fault.N("maximum_percent"))
	// TemperatureRelationMissing: nothing says how sound speed changes with temperature.
	TemperatureRelationMissing = fault.Define("beam.temperature-relation-missing")
)

// Warnings: the result stands, but a person should look.
var (
	// Overlap: the recommended spacing is negative; the transducers would overlap.
	Overlap = fault.Define("beam.overlap", fault.N("overlap_mm"))
	// ThinWall: the wall is thinner than a wavelength and carries other waves as well.
	ThinWall = fault.Define("beam.thin-wall", fault.N("wall_mm"), fault.N("wavelength_mm"))
	// MarkFar: the nearest graduation is farther from the spacing than is accepted.
	MarkFar = fault.Define("beam.mark-far", fault.N("distance_mm"), fault.N("limit_mm"))
	// UnusualSoundSpeed: outside what such materials have.
	UnusualSoundSpeed = fault.Define("beam.unusual-sound-speed", fault.N("sound_speed_m_s"), fault.N("lower_m_s"), fault.N("upper_m_s"))
	// UnusualDiameter: outside what clamp-on transducers are made for; a slip in the unit is likely.
	UnusualDiameter = fault.Define("beam.unusual-diameter", fault.N("diameter_m"), fault.N("lower_m"), fault.N("upper_m"))
	// ManyTraverses: more crossings than a signal usually survives.
	ManyTraverses = fault.Define("beam.many-traverses", fault.C("traverses"), fault.C("usual"))
)

// What the set-up check says.
var (
	// CheckFailed: measured and expected sound speed differ by more than the tolerance.
	CheckFailed = fault.Define("beam.check-failed", fault.N("difference_m_s"), fault.N("tolerance_m_s"))
	// CheckTooUncertain: the inputs are so uncertain that the check reveals nothing.
	CheckTooUncertain = fault.Define("beam.check-too-uncertain", fault.N("tolerance_percent"), fault.N("maximum_percent"))
	// CheckRestsOnAssumed: most of the uncertainty comes from values nobody measured.
	CheckRestsOnAssumed = fault.Define("beam.check-rests-on-assumed", fault.N("share_percent"))
	// ExplainedByLower: a value lower than entered would alone explain the difference.
	ExplainedByLower = fault.Define("beam.explained-by-lower", fault.N("change"), fault.T("unit"))
	// ExplainedByHigher: a value higher than entered would alone explain the difference.
	ExplainedByHigher = fault.Define("beam.explained-by-higher", fault.N("change"), fault.T("unit"))
	// NothingExplains: no single input within its bounds explains the difference.
	NothingExplains = fault.Define("beam.nothing-explains")
)
