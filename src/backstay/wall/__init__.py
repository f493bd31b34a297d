"""The wall: soldier pile, lagging, toe, vertical load, cantilever stage."""
