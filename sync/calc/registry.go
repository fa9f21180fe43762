package calc

// registry holds every calculation, by name.
var registry = []Spec{
	boreSpec,
	bumpSpec,
	clearanceSpec,
	directSpec,
	gasketSpec,
	journalSpec,
	pairSpec,
	ratioSpec,
	undersizeSpec,
}
