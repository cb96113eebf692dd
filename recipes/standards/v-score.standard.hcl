# Boards that are parted along V-score lines.
# Beside each value stands where it comes from.

standard "array" {
  gap = 0 # abutted boards share one line: common practice, no published source
}

standard "rails" {
  gap = 0 # the line runs between board and rail: common practice, no published source
}

standard "score_lines" {
  remaining_web  = "0.3 mm" # to 2.0 mm thickness (wedirekt.co.uk, routing and scoring)
  included_angle = "30 deg" # the whole angle (the same); some suppliers name half of it: ask
}

standard "rules" {
  limit "copper-to-score" {
    at_least = "0.5 mm" # boards about 1.55 mm thick (wedirekt.co.uk, routing and scoring)
  }
  limit "rail-width" {
    at_least = "5 mm" # an assembler's advice (boardor.com): 3 mm are held, 5 mm advised
  }
}
