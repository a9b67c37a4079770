package job

// Choice returns the choice that answers a finding, "" for none. It does not count as
// having been met.
func (a *Answers) Choice(finding string) string {
	if a == nil {
		return ""
	}
	if i, ok := a.at[finding]; ok {
		return a.List[i].Choice
	}
	return ""
}

// Empty reports whether nothing is answered.
func (a *Answers) Empty() bool { return len(a.List)+len(a.Parts) == 0 }

// Remove takes the answer to a finding out and reports whether there was one.
func (a *Answers) Remove(finding string) bool {
	i, ok := a.at[finding]
	if !ok {
		return false
	}
	a.List = append(a.List[:i:i], a.List[i+1:]...)
	delete(a.at, finding)
	for k := i; k < len(a.List); k++ {
		a.at[a.List[k].Finding] = k
	}
	return true
}

// Unfit notes that an answer was met, and that its choice is not to be had any more.
func (a *Answers) Unfit(x *Answer) {
	a.mu.Lock()
	delete(a.used, x.Finding)
	a.mu.Unlock()
}
