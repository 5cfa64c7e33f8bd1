package outcome

import "zonule/timeline/cohort"

// studyMethods tells where the figures of a study come from.
var studyMethods = []cohort.Method{
	{
		Name:    "Line",
		Formula: "Least squares of the outcome on the exposure and the factors of the eye. A loss enters as ln(count before / count at the visit); a coefficient b is told as 100 (1 - exp(-b)) percent fewer cells left.",
		Source:  "Textbook", Status: "common practice",
		Caution: "Complete cases only; who fell out stands beside. Both eyes of a patient count as two cases. A relation is not a reason.",
	},
	{
		Name:    "Intervals",
		Formula: "Standard errors clustered by operator with the correction for few operators (residuals times (I - H)^(-1/2), Satterthwaite's degrees of freedom); HC3 beside, or alone with fewer than 5 operators. The band of the line rests on the same. What one operator alone decides is not told.",
		Source:  "Bell RM, McCaffrey DF. Surv Methodol 2002;28:169-81; Long JS, Ervin LH. Am Stat 2000;54:217-24", Status: "from memory, checked against R sandwich 3.0-2",
		Caution: "With few operators these intervals are wide, as they should be.",
	},
	{
		Name:    "Counting error",
		Formula: "Variance of ln(before / after) = CV^2/n + CV^2/n; each case weighs 1/(spread + its variance), the spread by its moments.",
		Source:  "Fuller WA. Measurement Error Models, 1987", Status: "from memory, checked by simulation",
		Caution: "It knows the error of sampling cells, not that of the instrument or the place on the cornea.",
	},
	{
		Name:    "Chance of a complication",
		Formula: "Logistic regression with Firth's penalty, intervals by profile of the penalised likelihood, scaled about the estimate by as much as the interval clustered by operator is wider than the plain one.",
		Source:  "Firth D. Biometrika 1993;80:27-38; Heinze G, Schemper M. Stat Med 2002;21:2409-19; the scaling is our choice", Status: "from memory, checked against R brglm2 and by simulation",
		Caution: "Events are rare: look at the events per parameter. Under 5 an estimate is fragile.",
	},
	{
		Name:    "Robust line",
		Formula: "Theil-Sen: the median slope over all pairs of what the factors leave of outcome and exposure.",
		Source:  "Sen PK. J Am Stat Assoc 1968;63:1379-89", Status: "from memory",
		Caution: "It does not follow single cases; its interval ignores operators.",
	},
	{
		Name:    "Smoothed curve",
		Formula: "LOWESS, two thirds of the points, three passes.",
		Source:  "Cleveland WS. J Am Stat Assoc 1979;74:829-36", Status: "from memory, checked against statsmodels 0.13.5",
		Caution: "For the eye: it has no test and no interval, and allows for nothing.",
	},
	{
		Name:    "Many exposures",
		Formula: "Holm and Benjamini-Hochberg over the exposures of one study.",
		Source:  "Holm S. Scand J Stat 1979;6:65-70; Benjamini Y, Hochberg Y. J R Stat Soc B 1995;57:289-300", Status: "from memory",
		Caution: "Studies that were tried and not kept are not counted.",
	},
	{
		Name:    "Smallest relation that would have shown",
		Formula: "(t(0.975) + t(0.8)) times the standard error; z in place of t for odds.",
		Source:  "Textbook", Status: "common practice",
		Caution: "It describes these data, not the result.",
	},
}
