// Package film draws the invented demo recordings: a schematic eye under the microscope in which each
// step of a cataract operation can be seen to begin and end on an exact frame. The finished films are
// embedded; Remake draws them again with ffmpeg. Nothing in them comes from a real operation.
package film
