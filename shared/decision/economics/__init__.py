"""Repair or replace over the years: costs a year, ages and limits, outlays that pay off."""
