package allocation

import "headtally/domain/planning"

// run goes through the passes. Whatever a pass grants is final: later passes
// only add.
func (l *ledger) run() {
	l.packedForLines()
	for _, i := range l.words {
		l.takeSpare(i, l.Lines[i].Word()-l.granted[i])
	}
	l.wordsGiven()
	for _, i := range l.Ranked {
		l.takeSpare(i, l.lacks(i))
	}
	if l.ShareRule == planning.FirstCome {
		l.firstCome()
	} else {
		l.evenShare()
	}
}

// wordsGiven grants out of lots what is missing to each word, in the order in
// which words are kept, and notes what cannot be kept.
func (l *ledger) wordsGiven() {
	for _, i := range l.words {
		line := &l.Lines[i]
		missing := max(0, line.Word()-l.granted[i])
		n := l.most(l.classOf[i], missing, line.AllOrNone)
		l.book(i, n)
		l.broken[i] = missing - n
	}
}

func (l *ledger) book(line, cases int) {
	l.granted[line] += cases
	l.fromLot[line] += cases
}

// firstCome grants each line, in rank, the most that is feasible.
func (l *ledger) firstCome() {
	for _, i := range l.Ranked {
		lacks := l.lacks(i)
		n := l.most(l.classOf[i], lacks, l.Lines[i].AllOrNone)
		l.book(i, n)
		if n < lacks {
			l.refuse(i)
		}
	}
}
