package film

import "time"

// Scripts gives the four invented cases. Their times are plausible, and nobody's.
func Scripts() []Script {
	return []Script{quietPhaco(), splitRecording(), rupture(), stainedCapsule()}
}

const width, height = 480, 360

// quietPhaco is an uneventful operation by a trainer: every usual step once, one OVD top-up.
func quietPhaco() Script {
	r := newReel(Script{Name: "Quiet phacoemulsification", Width: width, Height: height,
		RateNum: 25, RateDen: 1, Seed: 11, Iris: Blue})
	r.file("quiet-phaco.mp4", time.Date(2026, 3, 4, 9, 12, 30, 0, time.UTC))
	r.step(4, "side-port", 6.4).
		step(3.2, "ovd", 11.2).
		step(3.2, "main-incision", 7.2).
		step(4.4, "capsulorhexis", 37.6).event(15.2, "ovd-top-up", 6.4).
		step(4, "hydrodissection", 15.6).
		step(5.2, "sculpting", 32.8).beside(24, "second-instrument", 62).
		step(0, "division", 13.2).
		step(0, "removal", 42.4).
		step(4.4, "cortex", 27.2).
		step(3.2, "polishing", 8.8).
		step(4, "bag-filling", 8).
		step(3.6, "lens-insertion", 13.2).
		step(1.6, "lens-positioning", 6.4).
		step(3.6, "ovd-removal", 11.6).
		step(3.2, "wound-closure", 13.6).
		step(2.4, "antibiotic", 5.6)
	return r.end(3.6).script
}

// splitRecording is a longer case by a trainee whose recorder began a new file while segments were
// being removed; the trainee goes back in for cortex left behind.
func splitRecording() Script {
	r := newReel(Script{Name: "Recording in two parts", Width: width, Height: height,
		RateNum: 25, RateDen: 1, Seed: 23, Iris: Brown})
	r.file("two-parts-1.mp4", time.Date(2026, 4, 16, 10, 41, 5, 0, time.UTC))
	r.step(3.2, "side-port", 7.6).
		step(4, "ovd", 10.4).
		step(4.4, "main-incision", 9.2).
		step(4.8, "capsulorhexis", 35.2).
		step(4.4, "hydrodissection", 14.4).
		step(5.2, "sculpting", 27.2).beside(20, "second-instrument", 36.4).
		step(0, "division", 12).
		step(0, "removal", 17.2)
	r.end(0)
	r.file("two-parts-2.mp4", time.Date(2026, 4, 16, 10, 43, 44, 0, time.UTC))
	r.step(0, "removal", 25.6).beside(0, "second-instrument", 20).event(8.4, "iris-contact", 1.6).
		step(4.4, "cortex", 18.4).
		step(5.6, "cortex", 9.2).
		step(4, "bag-filling", 8.8).
		step(4.4, "lens-insertion", 16).
		step(2, "lens-positioning", 9.2).
		step(4, "ovd-removal", 10.8).
		step(3.6, "wound-closure", 14.4)
	return r.end(3.2).script
}

// rupture shows what a morbidity meeting looks at: a shallow chamber, a fragment against the
// endothelium, and a tear of the posterior capsule with vitrectomy.
func rupture() Script {
	r := newReel(Script{Name: "Posterior capsule rupture", Width: width, Height: height,
		RateNum: 30000, RateDen: 1001, Seed: 37, Iris: Hazel})
	r.file("rupture.mp4", time.Date(2026, 5, 21, 13, 55, 10, 0, time.UTC))
	r.step(2.6, "side-port", 5.2).
		step(2.4, "ovd", 8.1).
		step(2.5, "main-incision", 6.3).
		step(3, "capsulorhexis", 25.3).
		step(3, "hydrodissection", 10.2).
		step(4, "sculpting", 20.7).event(11.4, "chamber-collapse", 3.6).beside(15.6, "second-instrument", 42).
		step(0, "division", 9.4).
		step(0, "removal", 28.5).event(10.4, "fragment-contact", 1.4).event(21.6, "occlusion-surge", 0.8).
		step(3.4, "cortex", 15.8).complication(12.2, "posterior-capsule-rupture").
		step(4.6, "vitrectomy", 21.4).
		step(3, "bag-filling", 6.2).
		step(3, "lens-insertion", 11.6).
		step(1.4, "lens-positioning", 5.2).
		step(3, "ovd-removal", 6.8).
		step(3.2, "suturing", 14.6).
		step(2.6, "wound-closure", 8.4)
	return r.end(2.8).script
}

// stainedCapsule is a white cataract whose capsule is stained, recorded as WebM; the view is lost
// for a moment.
func stainedCapsule() Script {
	r := newReel(Script{Name: "Stained capsule", Width: width, Height: height,
		RateNum: 25, RateDen: 1, Seed: 53, Iris: Grey})
	r.file("stained-capsule.webm", time.Date(2026, 6, 9, 8, 30, 0, 0, time.UTC))
	r.step(2.8, "side-port", 4.8).
		step(2.8, "dye", 10.4).
		step(3.2, "ovd", 7.6).
		step(2.8, "main-incision", 6).
		step(3.6, "capsulorhexis", 24.8).
		step(3.2, "hydrodissection", 9.2).
		step(4.4, "sculpting", 18.8).beside(14, "second-instrument", 35.2).
		step(0, "division", 8.8).
		step(0, "removal", 24.8).event(10.4, "view-lost", 4.4).
		step(3.6, "cortex", 16.8).
		step(3.2, "bag-filling", 6).
		step(3.2, "lens-insertion", 10.4).
		step(1.6, "lens-positioning", 4.8).
		step(2.8, "ovd-removal", 7.2).
		step(2.8, "wound-closure", 9.2).
		step(2.4, "antibiotic", 4.4)
	return r.end(2.8).script
}
