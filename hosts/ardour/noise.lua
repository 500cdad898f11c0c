ardour {
	["type"]    = "dsp",
	name        = "Underpin noise",
	category    = "Generator",
	license     = "MIT",
	author      = "Underpin",
	description = [[Noise from a seed, the same at every roll of the transport: silence while it stands.]]
}

function dsp_ioconfig ()
	return { { audio_in = -1, audio_out = -1 } }
end

local seed = 1

function dsp_run (ins, outs, n_samples)
	local rolling = Session:transport_rolling ()
	if not rolling then seed = 1 end
	local block = {}
	for i = 1, n_samples do
		if rolling then
			seed = (seed * 1103515245 + 12345) % 2147483648
			block[i] = seed / 2147483648 - 0.5
		else
			block[i] = 0
		end
	end
	for c = 1, #outs do
		outs[c]:set_table (block, n_samples)
	end
end
