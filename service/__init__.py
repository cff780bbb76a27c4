"""Lathwind: the calculation behind fitting a slatted roll-up shutter to a vehicle's equipment compartment."""
