package packing

func (w *bench) keepLimit() {}
