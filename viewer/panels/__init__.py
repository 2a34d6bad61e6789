"""The panels beside the drawings: lists, trees and forms; each has one question."""
