// Package plan draws the panel as a whole: its plan view with ordinate dimensions from the datum.
package plan
