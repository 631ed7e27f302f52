"""Staging to SVG: true-scale technical drawings. Computes no physics."""
