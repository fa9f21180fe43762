package calc

// registry holds every calculation, by name.
var registry = []Spec{
	boreSpec,
	bowSpec,
	bowlSpec,
	bumpSpec,
	clearanceSpec,
	crushSpec,
	crushratioSpec,
	directSpec,
	endfloatSpec,
	gasketSpec,
	journalSpec,
	oversizeSpec,
	pairSpec,
	pistonfitSpec,
	ratioSpec,
	ringgapSpec,
	shellboreSpec,
	sideclearanceSpec,
	targetSpec,
	undersizeSpec,
}
