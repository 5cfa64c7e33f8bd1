package film

// view is everything that can be seen at one moment.
type view struct {
	pupil   float64 // radius
	shallow float64 // 1: the chamber has collapsed
	haze    float64 // 1: nothing to be seen

	sidePort, incision float64 // how far each wound is made
	wet                [2]float64
	stitch             float64

	gel     float64 // OVD in the chamber
	bagGel  float64 // OVD in the capsular bag
	dye     float64 // dye in the chamber
	stain   float64 // of the anterior capsule
	stream  float64 // of antibiotic
	torn    float64 // how far the capsule is opened, all round = 1
	flap    float64 // of capsule still hanging on
	flapTip point

	wave    float64 // of fluid behind the lens, 0 to 1 across
	spin    float64 // of the nucleus, radians
	grooves [2]groove
	gaps    [2]float64 // between halves, along both grooves
	divided bool
	pieces  [4]fragment
	cortex  [wedges]fragment
	specks  float64 // left on the capsule
	hole    float64 // in the posterior capsule
	strands float64 // of vitreous

	iris    float64 // share of the time for which the iris is caught; below 0: it is not
	contact float64 // flash where something touches the endothelium
	bruise  bool    // mark that is left there
	implant implant
	tools   []tool
}

const wedges = 10

// groove is a trench in the nucleus.
type groove struct{ length, depth float64 }

// fragment is a piece of lens: how far it has come from its place to the tip, its size and turn.
type fragment struct {
	drawn float64
	size  float64
	turn  float64
	at    point   // where the tip holds it
	lift  float64 // towards the cornea
}

// implant is the folded lens on its way into the eye.
type implant struct {
	shown  bool
	open   float64 // 0 folded, 1 flat
	at     point
	angle  float64
	behind bool // the leading haptic is under the iris
}

// tool is an instrument whose tip is somewhere.
type tool struct {
	kind   kind
	port   port
	tip    point
	spread float64 // of the jaws of a forceps; for the injector, how far the plunger is
}
