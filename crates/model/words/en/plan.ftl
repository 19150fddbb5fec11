# plan
