// Package drawings holds written drawings against readers that are no part of this project: the PDF's words and where
// they stand against poppler's pdftotext, its pages as pictures against poppler's pdftoppm, the DXF's structure and
// dimensions against the library ezdxf. What a dimension states is looked up in panel.json by rules of this package's
// own.
//
// It has tests only. A check whose outside program is absent is skipped with a message, or fails when
// PANELWRIGHT_REQUIRE_OUTSIDE=1. A check that has really run says so through shared.Ran.
package drawings
