"""Words to signs, signs to defect, readings to evidence, hidden states, ranking, what to look at next. Pure."""
