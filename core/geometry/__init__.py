"""Shapes, distances, swept clearances, free space and triangle meshes."""
