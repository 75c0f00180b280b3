//! What moves and what must clear: growth of rail and base, gaps over the year, buckling, clearances, throw wires.
