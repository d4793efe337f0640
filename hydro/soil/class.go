package soil

// Class is the texture known, or one that stands for what else is known, and
// then what had to be assumed.
func (k Known) Class() (t Texture, assumed []string) { return k.texture() }
