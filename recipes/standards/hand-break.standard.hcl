# Boards that people break out of the panel by hand along perforated tabs.
# Beside each value stands where it comes from.

standard "rails" {
  gap           = "2 mm" # the slot; fabricators' minimum and standard (eurocircuits.de, customer-panel guidelines)
  corner_radius = "2 mm" # from memory, no published source: 2 to 5 mm
}

standard "breakoff_tabs" {
  hole_diameter     = "0.5 mm" # common practice, no published source
  between_holes     = "0.3 mm" # common practice, no published source
  holes_per_tab     = 5        # common practice, no published source: 3 to 5, even 6
  longest_free_span = "60 mm"  # a fabricator's guide (jlcpcb.com, panelization guide): a tab each 50 to 60 mm
  longest_overhang  = "30 mm"  # half of that; from memory, no published source
  from_corner       = "5 mm"   # from memory, no published source: 3 to 5 mm
}

standard "write_fab" {
  cutting = "climb" # from memory, no published source
  # Feeds from memory, no published source: 0.8 mm 0.3 to 0.7, 1.6 mm 0.8 to 1.2, 2.4 mm 1.0 to 1.8 m/min.
  feed {
    cutter        = "0.8 mm"
    mm_per_minute = 500
  }
  feed {
    cutter        = "1.6 mm"
    mm_per_minute = 1000
  }
  feed {
    cutter        = "2.4 mm"
    mm_per_minute = 1400
  }
}

standard "fiducials" {
  copper_diameter = "1 mm" # an assembler's guideline (seeedstudio.com, 2017-07-28)
  mask_diameter   = "2 mm" # the same
  clear_diameter  = "3 mm" # the same
}

standard "tooling_holes" {
  diameter = "4 mm" # an assembler's guideline (pandawillcircuits.com): 4.0 mm, centred 5 mm from both edges
  inward_x = "5 mm" # the same
  inward_y = "5 mm" # the same
}

standard "bad_board_marks" {
  diameter        = "2 mm" # from memory, no published source: cameras look for 1 to 3 mm
  mask_diameter   = "3 mm" # from memory, no published source: bare round the dot, as round a fiducial
  from_panel_edge = "3 mm" # conveyors hold 3.0 mm (boardor.com)
}

standard "thieving" {
  dot_diameter    = "1.5 mm" # from memory, no published source
  dot_pitch       = "2 mm"   # the same
  line_width      = "0.5 mm" # the same
  line_pitch      = "2 mm"   # the same
  from_board      = "1 mm"   # the same
  from_break      = "0.5 mm" # more than 0.40 mm to a routed edge on inner layers and 0.45 mm to a score line (eurocircuits.de, customer-panel guidelines)
  from_panel_edge = "0.5 mm" # the same
}

standard "rules" {
  # Bad copies (X-out); stated in the papers with or without bad-board marks.
  x_out_percent = 10 # a fabricator's page (lhd-pcb.com); another's says less than 10 % (explus.com.tw)
  x_out {
    copies  = 4
    at_most = 0
    source  = "a fabricator's page (lhd-pcb.com)"
  }
  x_out {
    copies  = 10
    at_most = 1
    source  = "a fabricator's page (lhd-pcb.com)"
  }
  x_out {
    copies  = 20
    at_most = 2
    source  = "a fabricator's page (lhd-pcb.com)"
  }
  x_out {
    copies  = 30
    at_most = 3
    source  = "a fabricator's page (lhd-pcb.com)"
  }

  limit "copper-to-edge" {
    at_least = "0.25 mm"
    source   = "fabricators' pages, outer layers (eurocircuits.de, customer-panel guidelines; wedirekt.co.uk)"
  }
  limit "copper-to-perforation" {
    at_least = "0.25 mm"
    source   = "as to a routed edge: common practice, no published source"
  }
  limit "rail-width" {
    at_least = "5 mm"
    source   = "an assembler's advice (boardor.com): 3 mm are held, 5 mm advised"
  }
  # The sizes that fabricators prefer, with the border for boards with inner layers; 0.5 in do without them
  # (Design007, June 2021, pages 84 and 85). Between: a cutter of 2 mm and some, from memory, no published source.
  production_panel "12x18" {
    width   = "12 in"
    height  = "18 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
  production_panel "18x24" {
    width   = "18 in"
    height  = "24 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
  production_panel "21x24" {
    width   = "21 in"
    height  = "24 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
}
