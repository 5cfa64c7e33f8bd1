package cohort

// compareMethods are the methods behind a comparison.
var compareMethods = []Method{
	{
		Name:    "Times that count",
		Formula: "Measured times only, of the person who did the step alone; whole operations only of one person.",
		Source:  "our definition", Status: "our definition",
		Caution: "Times at the microscope are not skill: an unhurried operation can be the better one.",
	},
	{
		Name:    "Quantiles",
		Formula: "Hyndman and Fan's type 7: h = (n - 1) p, straight between the order statistics on both sides.",
		Source:  "Hyndman RJ, Fan Y. Am Stat 1996;50:361-5", Status: "from memory; checked against R 4.2.2",
		Caution: "5 % and 95 % only from 20 cases on.",
	},
	{
		Name:    "Interval of a median",
		Formula: "The order statistics r and n + 1 - r, r the largest rank with P(B < r) at most 2.5 %, B binomial (n, 1/2).",
		Source:  "Thompson WR. Ann Math Stat 1936;7:122-8", Status: "from memory; ranks checked against R 4.2.2",
		Caution: "Wide in few cases, whatever the distribution; needs 6.",
	},
	{
		Name:    "Raw ratio",
		Formula: "exp(mean of log time - average over people of their mean log time), each person counting once; Student interval from the common spread within people.",
		Source:  "textbook analysis of variance", Status: "common practice",
		Caution: "Takes no account of the eyes: who is given harder eyes looks slower.",
	},
	{
		Name:    "Adjusted ratio",
		Formula: "Mixed model: log time = terms of the eye + effect of the person + error, effects of people drawn from a normal distribution; ratio = exp(effect - average effect). What the eye adds is learnt from cases of the same person; the variance between people is averaged over its likelihood with an even prior on its root.",
		Source:  "Henderson CR. Biometrics 1975;31:423-47; Mundlak Y. Econometrica 1978;46:69-85; Gelman A. Bayesian Anal 2006;1:515-33", Status: "from memory; checked against lme4 1.1-31 and by simulation with planted differences",
		Caution: "Drawn towards 1 the more the fewer the cases. What was not recorded about the eyes is not adjusted for; the interval holds on average over people, not for each: one invented person of eight who took 1.6 times as long with 30 cases was held by 87 of 100 intervals, with 8 cases by 80. The ratio of the person alone holds for that person too.",
	},
	{
		Name:    "Ratio of the person alone",
		Formula: "The same model with one level for each person, not drawn from a distribution; Student interval.",
		Source:  "textbook analysis of covariance", Status: "common practice; checked by simulation",
		Caution: "Noisier in few cases, but right for each person, however far apart.",
	},
}
