"""Components, lines, joints and roles; the starter layouts; the drawing's geometry. Pure."""
