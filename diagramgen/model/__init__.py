"""The frozen records of a build and of its coil expressions."""
