package detail

// What details and tables state, as drawing.Fact{Feature, What}: a feature's id in panel.json, and a word. Lengths are in
// nanometres, angles in millionths of a degree. One feature's figure stands for all that are alike: the fact names the
// one that is drawn.
//
// Of a tab, {"A1/tab/upper/2", …}; a row is the first of its rows that has holes:
//
//	hole_diameter   diameter_mm of its perforations
//	pitch           from the middle of the row's first hole to that of its second
//	web             web_mm of the row
//	shoulder        shoulder_mm of the row
//	inset           inset_mm of the row, its magnitude: how far holes reach over the board's edge, or keep clear of it
//	stub_at_worst   stub_at_worst_mm of the row
//	slot_width      distance of its two feet_mm, rounded to the nanometre
//	width           width_mm
//	x, y            of its first foot (feet_mm): its place
//	along           direction of along, as an angle
//
// Of a score line, {"score/y1", …}:
//
//	thickness                thickness_mm of the panel
//	remaining_web            remaining_web_mm
//	web_tolerance            web_tolerance_mm
//	depth                    depth_each_side_mm
//	included_angle           included_angle_deg
//	leave                    leave_mm
//	blade_offset_tolerance   blade_offset_tolerance_mm
//	position_tolerance       position_tolerance_mm
//	run_out                  run_out_mm
//	blade_diameter           blade_diameter_mm
//	x or y                   where an upright or a level line lies
//	from, to                 where it begins and ends along itself
//
// Of a fiducial, {"fiducial/1", …}: diameter, mask_diameter, clear_diameter. Of a tooling hole: diameter. Of the panel,
// {"panel", …}: corner_radius, the radius of the arc in the outline's lower left corner; thickness. Of a copy,
// {"A1", …}: x, y, rotation, as x_mm, y_mm, rotation_deg. Of a board, {"boards.gauge", …}: width, height, thickness.
//
// A dimension without lines is a note that states a figure. It has no place of its own: From and To are one point.
