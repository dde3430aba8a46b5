"""Looking a counted bin over: sampling plans, what was found against what was counted, recounts by a second person."""
