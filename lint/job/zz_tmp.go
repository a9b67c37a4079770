package job

func (a *Answers) Empty() bool { return len(a.List) == 0 }
func (a *Answers) Remove(finding string) bool {
	i, ok := a.at[finding]
	if !ok {
		return false
	}
	a.List = append(a.List[:i:i], a.List[i+1:]...)
	a.at = map[string]int{}
	for k := range a.List {
		a.at[a.List[k].Finding] = k
	}
	return true
}
